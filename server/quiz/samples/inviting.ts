import type { SampleQuestion } from '../samples.js';

/** On inviting people. */
export const INVITING: SampleQuestion[] = [
  {
    question: 'You want to tell friends about your walk. What do you send them?',
    answers: ['The address of the walk’s page', 'A copy of its text', 'Date and time only, from memory'],
    explanation: 'The page is always right. A copy is wrong after the first change.',
  },
  {
    question: 'The walk is full and five people wait. A friend asks you for a place. What do you say?',
    answers: [
      'Sign up and wait in line: a freed place goes to the first party that fits',
      'Come along, one more does not matter',
      'I take someone else off the list',
    ],
    explanation: 'Places go in order. Somebody has been waiting longer, and you can only count as many as you planned for.',
  },
  {
    question: 'One adult has not signed the waiver by the set-off time. What do you do?',
    answers: [
      'They read and sign it on paper now, or do not set off',
      'They sign it after the walk',
      'Someone else in the group signs for them',
      'You let it pass: they have signed the rules',
    ],
    explanation:
      'Nobody sets off without. Each adult signs for themself. What the text means for them you do not explain: that is for a lawyer.',
  },
  {
    question: 'You have names and phone numbers of everyone who signed up. What may you use them for?',
    answers: [
      'To lead this walk, and nothing else',
      'To invite people to other things',
      'To share them with the group, so that all can stay in touch',
    ],
    explanation: 'People gave their details for this walk. You do not put them on lists, and you do not pass them on.',
  },
];
