import { climbFigure, lengthWords } from '../calc/measure.js';
import type { GroupSettings } from '../settings/rules.js';
import { FACT_LABELS } from '../walks/fact-labels.js';
import type { FactName, WalkFacts } from '../walks/facts.js';
import { stopWords } from '../walks/stop-words.js';
import { type When, when } from '../web/when.js';
import type { Difference } from './content.js';

type Shown = Pick<GroupSettings, 'locale' | 'clock' | 'units'>;

/** A length that changed by no more than this part is not worth a mail. */
const LENGTH_PART = 0.1;

/**
 * What is different between two versions of a walk, one row a thing, in words for a mail or a page.
 * @param names 'always': date, times, zone, meeting point; 'all': with what a leader may choose to tell
 */
export function differences(before: WalkFacts, after: WalkFacts, names: 'always' | 'all', settings: Shown): Difference[] {
  const rows = [...timeRows(before, after, settings), ...textRows(before, after, PLACE, settings)];
  if (names === 'always') return rows;
  const { distanceMetres, ...rest } = OFFERED;
  const lengthMoved = Math.abs(after.distanceMetres - before.distanceMetres) / before.distanceMetres > LENGTH_PART;
  return [...rows, ...routeRow(before, after), ...textRows(before, after, lengthMoved ? { distanceMetres, ...rest } : rest, settings)];
}

/** A way can't be told in a line of mail: that there is another one can. */
function routeRow(before: WalkFacts, after: WalkFacts): Difference[] {
  if (before.routeId === after.routeId) return [];
  const words = (routeId: number | null, kept: string) => (routeId === null ? 'not drawn' : kept);
  return [
    {
      label: FACT_LABELS.routeId ?? 'Route',
      before: words(before.routeId, 'as it was drawn'),
      after: words(after.routeId, "drawn anew, on the walk's page"),
    },
  ];
}

type Wording = Partial<Record<FactName, (facts: WalkFacts, settings: Shown) => string>>;

const NOT_SAID = 'not said';

const PLACE: Wording = {
  meetingPoint: (facts) => facts.meetingPoint,
  landmark: (facts) => facts.landmark || NOT_SAID,
  lat: mapPoint,
};

const OFFERED = {
  distanceMetres: (facts, { units }) => lengthWords(facts.distanceMetres, units),
  ascentMetres: (facts, { units, locale }) => (facts.ascentMetres === 0 ? NOT_SAID : climbFigure(facts.ascentMetres, units, locale)),
  stops: (facts, { units }) => facts.stops.map((stop) => stopWords(stop, units)).join('; ') || NOT_SAID,
  surfaces: (facts) => facts.surfaces.join(', ') || NOT_SAID,
  stepFree: (facts) => yes(facts.stepFree),
  dogs: (facts) => (facts.dogs ? 'yes, on a lead, at the back' : 'no'),
  minors: (facts) => yes(facts.minors),
  bring: (facts) => facts.bring || NOT_SAID,
} satisfies Wording;

function textRows(before: WalkFacts, after: WalkFacts, wording: Wording, settings: Shown): Difference[] {
  return (Object.entries(wording) as [FactName, NonNullable<Wording[FactName]>][]).flatMap(([name, word]) => {
    const row = { label: FACT_LABELS[name] ?? name, before: word(before, settings), after: word(after, settings) };
    return row.before === row.after ? [] : [row];
  });
}

/** "41.30000, -85.10000": five decimals are about a metre. */
export function mapPoint(facts: Pick<WalkFacts, 'lat' | 'lon'>): string {
  return facts.lat === null || facts.lon === null ? NOT_SAID : `${facts.lat.toFixed(5)}, ${facts.lon.toFixed(5)}`;
}

function yes(is: boolean): string {
  return is ? 'yes' : 'no';
}

/** Gather and set off with weekday, date, clock and zone each; the zone alone where the clock reads the same in both. */
function timeRows(before: WalkFacts, after: WalkFacts, settings: Shown): Difference[] {
  const rows = [timeRow('gather', before, after, settings), timeRow('setOff', before, after, settings)].filter((row) => row !== null);
  if (rows.length > 0 || before.zone === after.zone) return rows;
  return [{ label: FACT_LABELS.zone ?? 'Time zone', before: before.zone, after: after.zone }];
}

function timeRow(name: 'gather' | 'setOff', before: WalkFacts, after: WalkFacts, settings: Shown): Difference | null {
  const at = name === 'gather' ? ('gatherAt' as const) : ('setOffAt' as const);
  const label = FACT_LABELS[name] ?? name;
  const [was, is] = [wallWords(before, before[name], before[at], settings), wallWords(after, after[name], after[at], settings)];
  if (was !== is) return { label, before: was, after: is };
  if (before[at] === after[at]) return null;
  // The clock reads the same, but a government moved it meanwhile: only the instant shows what is different.
  return { label, before: `${was} (${utc(before[at])})`, after: `${is} (${utc(after[at])})` };
}

function wallWords(facts: WalkFacts, time: string, at: number, settings: Shown): string {
  const wall = wallWhen(facts, time, at, settings);
  return `${wall.fullDate}, ${wall.clock} ${wall.zone}`;
}

/**
 * A wall time as the leader meant it, whatever today's zone data make of its instant; the instant gives only the zone's abbreviation.
 * @param time HH:MM @param at the instant it stands for, ms
 */
export function wallWhen(
  facts: Pick<WalkFacts, 'date' | 'zone'>,
  time: string,
  at: number,
  settings: Pick<Shown, 'locale' | 'clock'>,
): When {
  const wall = when(Date.parse(`${facts.date}T${time}:00Z`), 'UTC', settings);
  return { ...wall, iso: new Date(at).toISOString(), zone: when(at, facts.zone, settings).zone };
}

function utc(at: number): string {
  return `${new Date(at).toISOString().slice(11, 16)} UTC`;
}
