import type { SampleQuestion } from '../samples.js';

/** On the day of a walk. */
export const DAY: SampleQuestion[] = [
  {
    question: 'What is the back marker for?',
    answers: [
      'To walk last, so that nobody falls behind unseen',
      'To carry the luggage',
      'To lead a second, slower group',
      'To walk ahead and mark the way',
    ],
    explanation: 'Leader in front, back marker behind, everybody else between the two.',
  },
  {
    question: '18 people set off. 15 are at the finish, 2 left early and told the back marker. Is the walk over?',
    answers: ['No: one person is missing', 'Yes: nearly all are back', 'Yes, if the finish time has passed'],
    explanation:
      'Set off = finished + left early. 15 + 2 is 17. Somebody is missing, and the walk is not over until you know where they are.',
  },
  {
    question: 'When do you count the group?',
    answers: [
      'At set-off, after each stop, after each big crossing, and at the finish',
      'At set-off only',
      'At the finish only',
      'When someone seems to be missing',
    ],
    explanation: 'The sooner you see that somebody is missing, the shorter the way back to where they were last seen.',
  },
  {
    question: 'Someone wants to go home from the second stop. What do you need before they leave?',
    answers: ['Their name, where they left and how they go home, written down', 'Nothing: they are adults', 'The leave of the whole group'],
    explanation: 'Nobody leaves without telling the leader or the back marker. Otherwise you will look for them, and so will others.',
  },
  {
    question: 'A child has not been seen for some minutes, and is not with the guardian. What do you do?',
    answers: [
      'Stop, keep the group safe, send two people back, and call the emergency number without delay',
      'Walk on, and look again at the next stop',
      'Send everybody out to search on their own',
      'Wait an hour before you tell anyone',
    ],
    explanation:
      'For a child, or for someone ill or confused, you do not wait to be sure. Never send anyone out alone, or you will miss two.',
  },
];
