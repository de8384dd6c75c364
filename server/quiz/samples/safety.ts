import type { SampleQuestion } from '../samples.js';

/** On safety and first response. */
export const SAFETY: SampleQuestion[] = [
  {
    question: 'Someone falls and does not answer you. What comes first?',
    answers: [
      'Call the emergency number',
      'Ring the emergency contact',
      'Open the emergency details',
      'Finish the walk and see how they are',
    ],
    explanation: 'The emergency number first, always. The person on the phone guides you; contacts and details come after that.',
  },
  {
    question: 'You are not sure whether it is bad enough to call the emergency number. What do you do?',
    answers: ['Call', 'Wait half an hour and see', 'Ask the group to vote', 'Drive the person home'],
    explanation: 'If you ask yourself whether to call, call. The people who answer are there to decide what is needed.',
  },
  {
    question: 'What do you tell the emergency services?',
    answers: [
      'Where you are, what happened, how many are hurt and how they are; then stay on the line',
      'Your name and your group, then hang up',
      'What you think the illness is, and what medicine to bring',
    ],
    explanation: 'Where comes first: with that, help can start even if the call breaks off. Hang up only when you are told to.',
  },
  {
    question: 'When may a walk’s leader open someone’s emergency details?',
    answers: [
      'When that person needs help; each opening is written down and they see it',
      'Whenever it is interesting to know',
      'To prepare a list for the group',
    ],
    explanation: 'They were left for one purpose: to help. Tell the ambulance crew what the note says, and nobody else.',
  },
  {
    question: 'You hear thunder on an open ridge. What do you do?',
    answers: [
      'Leave the ridge and open ground; go into a building or a car until half an hour after the last thunder',
      'Stand under a lone tree',
      'Walk on: it is still far away',
      'Lie down flat on the ridge',
    ],
    explanation:
      'If you hear thunder, lightning can reach you. Lone trees and ridges draw it. Half an hour after the last thunder you may go on.',
  },
];
