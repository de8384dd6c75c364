import type { SampleQuestion } from '../samples.js';

/** On hydration and heat. */
export const HEAT: SampleQuestion[] = [
  {
    question: 'How much should people drink on a walk?',
    answers: ['To thirst: before, during and after', 'As much as they can', 'A fixed number of cups each hour', 'As little as they can'],
    explanation: 'Drink to thirst. Too little hurts, and too much plain water is dangerous, too.',
  },
  {
    question: 'After five hours someone who drank a great deal of plain water has a headache, vomits and is confused. What do you do?',
    answers: [
      'Call the emergency number, and give no more plain water',
      'Give more water at once',
      'Let them walk it off',
      'Wait until the next stop',
    ],
    explanation:
      'Too much plain water thins the salt in the blood. The risk grows after 4 hours and with more than about 1.5 litres an hour. It is an emergency, and more water makes it worse.',
  },
  {
    question: 'On a hot day someone is confused, speaks unclearly and feels very hot. What do you do?',
    answers: [
      'Call the emergency number, then cool them with all you have, and give nothing to drink',
      'Give them plenty to drink and wait an hour',
      'Let them rest in the shade and go on with the walk',
      'Ask the coordinator what to do',
    ],
    explanation: 'That may be heat stroke, which can kill. Call first, then cool at once. Someone confused can choke on a drink.',
  },
  {
    question: 'Someone with heat exhaustion rests in the shade and sips water. When do they need medical help?',
    answers: [
      'If they vomit, get worse, or are not better within an hour',
      'Only if they ask for it',
      'Only if they faint',
      'On the next day',
    ],
    explanation: 'Vomiting, getting worse, or lasting longer than an hour: get help. And if they become confused, it is an emergency.',
  },
  {
    question: 'The forecast gives a heat index of 105 °F (41 °C) for the hottest hour, the category Danger. What do you do?',
    answers: ['Call the walk off, or move it to the coolest hours', 'Walk as planned, with more water', 'Walk faster, to be back sooner'],
    explanation:
      'From 103 °F (39 °C) on heat exhaustion is likely and heat stroke possible. A walk called off for safety counts towards your commitment.',
  },
];
