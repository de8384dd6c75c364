/** What to look for and what to do, before or while help is called. */
export interface Signs {
  name: string;
  signs: string;
  act: string[];
  /** Call the emergency number at once. */
  call: boolean;
}

/**
 * Signs of what most often goes wrong on a long walk, in the words of the handbook (views/handbook/5-… and 6-…) and of the sample cautions, whose
 * sources stand there: US CDC on heat illness and cold, the consensus of 2015 on exercise-associated hyponatraemia. No first-aid course, and
 * no medical advice. The one that kills soonest first.
 */
export const SIGNS: readonly Signs[] = [
  {
    name: 'Heat stroke',
    signs: 'Confusion, slurred speech, fainting, a seizure, very hot skin, dry or sweating.',
    act: [
      'Call first. Then cool them at once with all you have: shade, wet cloths, cold water over the body, fanning.',
      'Give nothing to drink.',
    ],
    call: true,
  },
  {
    name: 'Too much water',
    signs: 'Headache, bloating, vomiting or confusion after drinking a lot, above all on a walk of more than four hours.',
    act: ['Give no more plain water.'],
    call: true,
  },
  {
    name: 'Heat exhaustion',
    signs: 'Heavy sweating, weakness, dizziness, nausea, cramps, headache.',
    act: [
      'Shade or a cool place, loosened clothes, wet cloths, sips of water.',
      'Get medical help if they vomit, get worse, or are not better within an hour. They walk no further today.',
    ],
    call: false,
  },
  {
    name: 'Too little water',
    signs: 'Thirst, dry mouth, dark urine, tiredness, dizziness, headache.',
    act: [
      'Rest in shade. Drink to thirst, in sips, with something salty on a long walk. Never force it down.',
      'Confused, fainting, or no better: call.',
    ],
    call: false,
  },
  {
    name: 'Cold',
    signs: 'Shivering that does not stop, slurred speech, stumbling.',
    act: ['Call. Then get them dry, warm and out of the wind.'],
    call: true,
  },
];

/** Call without talking it over: the list of the handbook's page on safety and first response. */
export const CALL_AT_ONCE =
  'chest pain; trouble breathing; someone unconscious, confused or fainting; a face, arm or speech that suddenly fails; a blow to the head; heavy bleeding; a seizure; a bad allergic reaction; signs of heat stroke';
