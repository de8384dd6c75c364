import { METRES_PER_FOOT, METRES_PER_MILE } from '../calc/measure.js';
import type { SURFACES } from '../walks/facts.js';
import type { Checked, Found } from './items.js';
import { listed } from './words.js';

type Surface = (typeof SURFACES)[number];

/** Surfaces that decide who can come, and the words by which a text speaks of them. */
const NEED_A_WORD: [Surface, RegExp][] = [
  [
    'unpaved',
    /\b(unpaved|dirt|earth|mud|muddy|boots|trails?|tracks?|rough|rocks?|rocky|roots|ruts|uneven|stones?|stony|strollers?|wheels?|wheelchairs?)\b/i,
  ],
  ['sand', /\b(sands?|sandy|beach|dunes?)\b/i],
  // "Step-free" says that there are none.
  ['steps', /\b(steps?(?![-\s]?free)|stairs?|stairways?|staircases?|flights?)\b/i],
];

/** Steep on the average: feet a mile, or metres a kilometre. Common practice, no source. */
const MOST_CLIMB_RATE = { mi: 150, km: 28 } as const;

/** No surface said at all. */
export function noSurface({ facts }: Checked): Found[] {
  if (facts.surfaces.length > 0) return [];
  return [
    {
      key: 'surfaces',
      kind: 'think',
      title: 'Nothing is said about the surface',
      why: 'It decides which shoes people wear, and who with a stroller, a stick or a wheelchair can come.',
      mends: 'Tick what is underfoot.',
      href: 'surface',
    },
  ];
}

/** Steps, sand or unpaved ground, and no word about it where people read. */
export function surfaceUnsaid({ facts }: Checked): Found[] {
  const text = [facts.directions, facts.description, facts.bring].join('\n');
  const unsaid = NEED_A_WORD.filter(([surface, said]) => facts.surfaces.includes(surface) && !said.test(text)).map(([surface]) => surface);
  if (unsaid.length === 0) return [];
  return [
    {
      key: 'surfaceword',
      kind: 'think',
      title: `${listed(unsaid).replace(/^./, (first) => first.toUpperCase())} underfoot, and no word about it in the text`,
      why: 'People want to know how much of it there is, where, and which shoes it asks for.',
      mends: 'Say in the directions, or under what to bring, where it comes and what it needs.',
      href: 'directions',
    },
  ];
}

/** Ticked as step-free, and with steps. */
export function stepsNotFree({ facts }: Checked): Found[] {
  if (!facts.stepFree || !facts.surfaces.includes('steps')) return [];
  return [
    {
      key: 'stepfree',
      kind: 'think',
      title: 'The walk is ticked as step-free, and has steps',
      why: 'Somebody who cannot manage steps would come, and have to turn back.',
      mends: 'Untick one of the two, or say in the directions how to go round the steps.',
      href: 'stepFree',
    },
  ];
}

/** More climb than the length suggests. The rate is compared as it is shown, so that rounded figures do not tip it. */
export function steepOnAverage({ facts, words }: Checked): Found[] {
  if (facts.distanceMetres <= 0) return [];
  const { units } = words;
  const rise = facts.ascentMetres / facts.distanceMetres;
  const rate = Math.round(units === 'mi' ? (rise * METRES_PER_MILE) / METRES_PER_FOOT : rise * 1000);
  const most = MOST_CLIMB_RATE[units];
  if (rate <= most) return [];
  const unit = units === 'mi' ? 'ft a mile' : 'm a km';
  return [
    {
      key: 'steep',
      kind: 'think',
      title: `${words.climb(facts.ascentMetres)} of climb in ${words.length(facts.distanceMetres)}: ${rate} ${unit}`,
      why: `More than ${most} ${unit} is a hill walk: harder than its length suggests, and slower.`,
      mends: 'Say so in the text about the walk, and check that the length and the climb are right.',
      href: 'ascent',
    },
  ];
}
