import { fromMetres, lengthWords, type Units } from '../calc/measure.js';
import type { GroupSettings } from '../settings/rules.js';
import type { WalkRow } from '../walks/ledby.js';
import { type Faults, fieldId, groups, line, type Typed, ticked } from '../web/forms.js';
import { when } from '../web/when.js';
import type { Attended } from './attendance.js';
import { BLANK_HAZARDS, BLANK_PEOPLE } from './close-form.js';
import type { ClosingFacts, OnClose } from './close-store.js';
import { CORRECTED_FOR_MS, type Ended, endedKey, endings, metresOf, NO_WORD, type Word } from './closing-rules.js';
import { type Headcount, HOME, TOLD } from './ledger.js';
import { STATE_WORDS } from './state-words.js';

type ShownWalk = Pick<WalkRow, 'distanceMetres' | 'stops' | 'zone' | 'closedAt'>;

/** "Walked it all, 8.2 mi", "Left early after Lower lock, 2.4 mi" */
export function endedWords(ended: Ended, walk: Pick<WalkRow, 'distanceMetres' | 'stops'>, units: Units): string {
  const metres = lengthWords(metresOf(ended, walk), units);
  if (ended.how === 'full') return `Walked it all, ${metres}`;
  if (ended.how === 'absent') return 'Did not come';
  const name = ended.stop === 0 ? '' : stopName(walk, ended.stop, units);
  if (ended.how === 'short') return `Took the short way at ${name}, ${metres} in all`;
  return ended.stop === 0 ? 'Left early, before the first stop' : `Left early after ${name}, ${metres}`;
}

function stopName({ stops }: Pick<WalkRow, 'stops'>, number: number, units: Units): string {
  const stop = stops[number - 1];
  return stop?.name || `${units === 'mi' ? 'mile' : 'km'} ${fromMetres(stop?.metres ?? 0, units).toFixed(1)}`;
}

/** What the form shows: typed values where it was refused, else what is known. */
interface Shown {
  typed: Typed | null;
  faults: Faults;
  /** Names the form. */
  form: string;
}

/** The closing page's form. */
export function closeModel(walk: ShownWalk, facts: ClosingFacts, settings: GroupSettings, { typed, faults, form }: Shown) {
  const { units } = settings;
  const typedRows = typed ? groups(typed, 'people') : [];
  const ways = endings(walk);
  const people = facts.people.map((person, index) => {
    const row = typedRows.find((one) => line(one, 'who') === person.who);
    return personRow(person, { row, field: `people[${index}]`, rollKept: facts.rollKept, faults, ways, walk, units });
  });
  return {
    form,
    people,
    open: facts.people
      .filter(({ who }) => facts.counts.unsettled.includes(who))
      .map(({ name, state }) => ({ name, state: STATE_WORDS[state] })),
    late: facts.people.filter((one) => one.late).map(({ name, state }) => ({ name, state: STATE_WORDS[state] })),
    rollKept: facts.rollKept,
    // Where a roll was kept, each who is missing from it is asked after one by one.
    offersRest: !facts.rollKept && people.length > 0,
    rest: typed !== null && ticked(typed, 'rest'),
    newPeople: blankRows(typed, 'new', BLANK_PEOPLE).map((row, index) => newPerson(row, `new[${index}]`, { faults, ways, walk, units })),
    hazards: blankRows(typed, 'hazards', BLANK_HAZARDS).map((row, index) => hazardRow(row, `hazards[${index}]`, faults)),
    // What was typed in the rows that are put away is shown.
    moreTyped: typed !== null,
    faults,
  };
}

interface RowAround {
  faults: Faults;
  ways: Ended[];
  walk: ShownWalk;
  units: Units;
}

function personRow(
  person: OnClose,
  { row, field, rollKept, ...around }: RowAround & { row: Typed | undefined; field: string; rollKept: boolean },
) {
  const chosen = row && 'ended' in row ? line(row, 'ended') : person.ended && endedKey(person.ended);
  const word = row && 'told' in row ? { told: line(row, 'told'), home: line(row, 'home') } : person.word;
  const { who, name, guardianName, minor, late, asksAddress, state } = person;
  const hint = [
    minor ? `with ${guardianName ?? 'nobody'}` : '',
    rollKept && (late || !person.ended) ? STATE_WORDS[state] : '',
    late ? 'heard after the walk was closed' : '',
  ];
  return {
    ...{ who, seen: person.seen.join(' '), kept: person.kept ? endedKey(person.kept) : '' },
    hint: capital(hint.filter((part) => part !== '').join('; ')),
    ...choices(field, name, chosen ?? '', word, around),
    email: asksAddress ? emailField(field, row, around.faults) : null,
  };
}

function newPerson(row: Typed, field: string, around: RowAround) {
  return {
    name: { ...named(`${field}[name]`, around.faults), value: line(row, 'name') },
    email: emailField(field, row, around.faults),
    ...choices(field, 'How it ended', line(row, 'ended'), { told: line(row, 'told'), home: line(row, 'home') }, around),
  };
}

function hazardRow(row: Typed, field: string, faults: Faults) {
  const of = (name: string) => ({ ...named(`${field}[${name}]`, faults), value: line(row, name) });
  return { place: of('place'), what: of('what'), until: of('until') };
}

function named(name: string, faults: Faults) {
  return { id: fieldId(name), name, error: faults[name] };
}

function emailField(field: string, row: Typed | undefined, faults: Faults) {
  return { ...named(`${field}[email]`, faults), value: row ? line(row, 'email') : '' };
}

/** The three lists of a row. What only who left early is asked is marked, so that the style can put it away. */
function choices(field: string, label: string, chosen: string, word: Word, { faults, ways, walk, units }: RowAround) {
  const options = ways.map((ended) => ({
    value: endedKey(ended),
    label: endedWords(ended, walk, units),
    selected: endedKey(ended) === chosen,
    left: ended.how === 'left',
  }));
  const list = (values: readonly string[], now: string) =>
    values.map((value) => ({ value, label: capital(value), selected: value === now }));
  const { told, home } = chosen.startsWith('left') ? word : NO_WORD;
  return {
    field,
    label,
    ended: { ...named(`${field}[ended]`, faults), options },
    told: { ...named(`${field}[told]`, faults), options: list(TOLD, told) },
    home: { ...named(`${field}[home]`, faults), options: list(HOME, home) },
  };
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function blankRows(typed: Typed | null, field: string, least: number): Typed[] {
  const rows = typed ? groups(typed, field) : [];
  return Array.from({ length: Math.max(least, rows.length) }, (_, index) => rows[index] ?? {});
}

/** The figures over a closed walk: who walked, how far in all, who did not come. */
export function closedModel(walk: ShownWalk, attendance: ReadonlyMap<string, Attended>, counts: Headcount, settings: GroupSettings) {
  const all = [...attendance.values()];
  const count = (how: Ended['how']) => all.filter((one) => one.ended.how === how).length;
  const metres = all.reduce((sum, one) => sum + one.metres, 0);
  return {
    at: walk.closedAt === null ? null : when(walk.closedAt, walk.zone, settings),
    until: when((walk.closedAt ?? 0) + CORRECTED_FOR_MS, walk.zone, settings),
    walked: all.length - count('absent'),
    absent: count('absent'),
    left: count('left'),
    short: count('short'),
    turnedUp: all.filter(({ who }) => who.startsWith('t')).length,
    signedUp: counts.signedUp,
    length: lengthWords(metres, settings.units),
  };
}
