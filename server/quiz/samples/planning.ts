import type { SampleQuestion } from '../samples.js';

/** On planning a route. */
export const PLANNING: SampleQuestion[] = [
  {
    question: 'How far apart do you plan stops with toilets and water?',
    answers: ['Every 3 to 5 miles (5 to 8 km)', 'Every 6 to 8 miles (10 to 13 km)', 'One halfway, however long the walk is'],
    explanation:
      'Every 3 to 5 miles. People run dry before they notice, and whoever goes off the way to find a toilet falls behind unseen.',
  },
  {
    question: 'Between two taps on your route there are 6 miles (10 km). What do you do before you post it?',
    answers: [
      'Mend the route, or explain it in the post so that people bring more water',
      'Nothing: people know how to look after themselves',
      'Tell the group at the start of the walk',
    ],
    explanation:
      'More than 5 miles between stops is something to mend. Where that is impossible, it stands in the post, while people can still pack another bottle.',
  },
  {
    question: 'By whose pace do you plan, so that the last are back before sunset?',
    answers: ['That of the slowest in the group', 'That of the fastest in the group', 'Your own', 'The average'],
    explanation: 'The walk ends when the slowest are back. Whoever plans by an average leaves half the group in the dark.',
  },
  {
    question: 'When do you walk the route yourself?',
    answers: [
      'Within the weeks before, at the same hour if you can',
      'Not at all, if the map looks good',
      'Once, some years ago, is enough',
    ],
    explanation: 'A map does not show closed paths, locked toilets, mud, or a crossing that is hard at that hour.',
  },
];
