import type { HeatCategory } from '../calc/heat.js';

/** What each NWS heat category does to people, and what to do in it: read by those who come as much as by the leader. */
export const IN_HEAT: Record<HeatCategory, string[]> = {
  Caution: ['Hours on foot in this tire people more than usual. Go slower, and rest in the shade at each stop.'],
  'Extreme Caution': [
    'Cramps, heat exhaustion and heat stroke are possible. Go slower, keep to the shade, and stop more often.',
    'A shorter way or an earlier start is the better walk.',
  ],
  Danger: [
    'Heat exhaustion is likely, and heat stroke possible.',
    'In such heat walks are called off or moved to the coolest hours of the day, as the leader decides. Changes come by mail: look before you leave home.',
  ],
  'Extreme Danger': [
    'Heat stroke is likely for anyone who goes on walking in this.',
    'In such heat walks are called off or moved to a cooler day, as the leader decides. Changes come by mail: look before you leave home.',
  ],
};

export const BRING_IN_HEAT = 'Bring a hat, sunscreen, light clothes, water, and something salty.';

export const IN_COLD = [
  'Wear layers that can come off, and keep one of them dry. Cover head, ears and hands.',
  'Keep moving: short stops, out of the wind.',
];

export const IN_FROST = [
  'Bare skin can freeze within 30 minutes. Leave none bare, and look at one another for pale, numb patches.',
  'In such cold walks are called off, or kept short and close to shelter, as the leader decides. Changes come by mail: look before you leave home.',
];

export const IN_WIND = 'Strong wind: keep off ridges, and out from under old trees. Another way, or another day, may be the better one.';

/** Source: US CDC, on heat stroke and heat exhaustion. */
const HEAT_ILLNESS = [
  'Confused, fainting, very hot: that may be heat stroke. Call the emergency number first, then cool the person with wet cloths or a bath; give nothing to drink.',
  'Heavy sweating, weakness, nausea, cramps: that may be heat exhaustion. A cool place, wet cloths, sips of water; get medical help where it comes to vomiting, gets worse, or lasts longer than an hour.',
];

/** Source: US CDC, on hypothermia (memory). */
const COLD_ILLNESS = [
  'Shivering that does not stop, slurred speech, stumbling: that may be hypothermia. Call the emergency number first, then get the person dry, warm and out of the wind.',
];

/** What holds on every walk, whatever the forecast. On drinking: consensus on exercise-associated hyponatremia, 2015. */
export function cautions(season: 'heat' | 'cold' | 'mild', emergencyNumber: string): string[] {
  const number = emergencyNumber === '' ? 'the emergency number' : emergencyNumber;
  return [
    `In an emergency call ${number} first, then tell the leader.`,
    ...{ heat: HEAT_ILLNESS, cold: COLD_ILLNESS, mild: [] }[season],
    'Drink to thirst: before, during and after the walk. On a long one, take something salty too.',
    'Too much plain water is dangerous, too: do not force yourself to drink.',
    'Local rules and medical advice given to you come first.',
    'A leader may turn away someone who is not prepared.',
  ];
}
