import type { SampleQuestion } from '../samples.js';

/** On posting a walk. */
export const POSTING: SampleQuestion[] = [
  {
    question: 'Your post says: gather 8:45, set off 9:00. What happens at 8:45?',
    answers: ['People should be there; you have been there since before', 'The group starts walking', 'You arrive'],
    explanation: 'Gathering is when people should arrive, setting off is when the group starts walking. The leader is there first.',
  },
  {
    question: 'Which of these is the best meeting point?',
    answers: ['Weir car park, by the green ticket machine', 'Weir car park', 'Near the weir, you will see us', 'The usual place'],
    explanation: 'Name a landmark exact enough to stand beside. In a large car park, two groups can wait without seeing each other.',
  },
  {
    question: 'A 15-year-old wants to come to a walk that takes under-18s. What must there be?',
    answers: [
      'A guardian, an adult, in the same party, who signs for them and stays with them all the way',
      'A note from a parent in their pocket',
      'Your promise to look after them',
      'Nothing: only children under 12 need someone',
    ],
    explanation:
      'Anyone under 18 walks with a guardian in the same party, who signs the waiver for them. If the guardian withdraws, so does the child.',
  },
  {
    question: 'The car park will be closed and you must meet somewhere else. How do you tell people?',
    answers: [
      'Edit the walk: everyone signed up or waiting gets a mail, and calendars follow',
      'Write a message to everyone and leave the post as it is',
      'Wait at the old place and send people on',
    ],
    explanation: 'A change of date, time, zone or meeting point is told by editing the walk. A message changes nobody’s calendar.',
  },
  {
    question: 'Your page says that the mail about the new meeting point did not reach one person. What now?',
    answers: ['Ring them: their number stands beside it', 'Nothing: they will look at the page', 'Write to everyone once more'],
    explanation: 'A mail that did not arrive is a person at the wrong place. The number is there so that you can ring.',
  },
];
