import type { SampleQuestion } from '../samples.js';

/** On what comes after a walk. */
export const AFTER: SampleQuestion[] = [
  {
    question: 'When is a walk over?',
    answers: [
      'When everyone who set off has finished, or is known to have left early',
      'When the first reach the finish',
      'When the leader reaches the finish',
      'At the time the post says',
    ],
    explanation: 'Set off = finished + left early. Until then, somebody may be out there.',
  },
  {
    question: 'A cyclist nearly hit someone, but nobody was hurt. Do you tell the coordinator?',
    answers: ['Yes, the same day', 'No: nothing happened', 'Only if it happens again', 'At the end of the season'],
    explanation: 'A near miss is an incident, too. Several at one crossing are how an accident is prevented.',
  },
  {
    question: 'What belongs in your record of an incident?',
    answers: [
      'What happened, where, when, who saw it, what was done',
      'Who was at fault',
      'What you think the injury is',
      'What the insurer should pay',
    ],
    explanation: 'Facts only, while you remember them. Causes, fault and costs are for others to find out.',
  },
  {
    question: 'What do you do with the printed emergency contacts after the walk?',
    answers: ['Destroy them', 'Keep them for the next walk', 'Leave them in the car', 'Give them to the back marker'],
    explanation: 'They were for this walk. Next time you print them anew, for those who come then.',
  },
];
