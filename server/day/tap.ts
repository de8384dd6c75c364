import { type Faults, line, type Typed } from '../web/forms.js';
import type { RollPerson, RollState } from './contract.js';
import { guardianNow, minorsWith } from './guardians.js';
import {
  backMarker,
  byPerson,
  type Entry,
  groupAt,
  HOME,
  type PersonSaid,
  type Said,
  type Standing,
  standing,
  standingEntries,
  TOLD,
} from './ledger.js';

/** What a button of the page comes to: what is said, of whom, answering what. */
export type Tapped = Pick<Entry, 'who' | 'said' | 'after'>;

/** Entries to keep, or what to mend; `who` where the sentence belongs to one person's own page. */
export type Tap = { entries: Tapped[] } | { faults: Faults; who?: string };

type Roll = Pick<RollState, 'people' | 'entries' | 'stops' | 'leaders'>;

/** Faults of a button, not of a field: an old page, or no page of ours. */
const OLD_PAGE = 'This page was out of date: nothing was changed. Look again, then tap.';
const ID = /^[A-Za-z0-9_-]{16,40}$/;
const PLAIN = ['expected', 'not walking', 'arrived', 'set off', 'finished'] as const;

/**
 * What a button of the roll's page says. Pure. `kind` is what is said; `who` a person, "group", "back", "with", or for everyone at once
 * "rest" (who never came) and "all" (the heads counted agree with the roll). @param roll as it stands
 */
export function readTap(typed: Typed, roll: Roll): Tap {
  const who = line(typed, 'who');
  if (who === 'group') return groupTap(typed, roll);
  if (who === 'back') return backTap(typed, roll);
  if (who === 'with') return withTap(typed, roll);
  if (who === 'rest') return restTap(roll);
  if (who === 'all') return allTap(typed, roll);
  const person = roll.people.find((one) => one.who === who);
  return person ? personTap(person, typed, roll) : refused();
}

function refused(): Tap {
  return { faults: { list: OLD_PAGE } };
}

/** The entries that the page showed; what it did not say is taken as the roll stands. */
function shownAfter(typed: Typed, stands: string[]): string[] {
  const ids = line(typed, 'after')
    .split(',')
    .filter((id) => ID.test(id));
  return ids.length > 0 ? ids.slice(0, 100) : typed.after === undefined ? stands : [];
}

function standingOf(who: string, roll: Roll): Standing {
  return standing(roll.entries.filter((entry) => entry.who === who));
}

/** Everyone on the roll with how they stand: its entries are gone through once, however many people there are. */
function everyone({ people, entries }: Pick<Roll, 'people' | 'entries'>): (Standing & { who: string; person: RollPerson })[] {
  const said = byPerson(entries);
  return people.map((person) => ({ ...standing(said.get(person.who) ?? []), who: person.who, person }));
}

function heads(who: string, roll: Roll): string[] {
  return standingEntries(roll.entries.filter((entry) => entry.who === who)).map((entry) => entry.entry);
}

function stopIn(typed: Typed, roll: Roll, least: number): number | null {
  const stop = /^\d{1,2}$/.test(line(typed, 'stop')) ? Number(line(typed, 'stop')) : -1;
  return stop >= least && stop <= roll.stops.length ? stop : null;
}

function personTap(person: RollPerson, typed: Typed, roll: Roll): Tap {
  const kind = line(typed, 'kind');
  const after = shownAfter(typed, standingOf(person.who, roll).heads);
  if (kind === 'left') return leftTap(person, typed, roll, after);
  const stop = stopIn(typed, roll, 1);
  if (kind === 'stop') return stop === null ? refused() : { entries: [{ who: person.who, said: { kind, stop }, after }] };
  const plain = PLAIN.find((one) => one === kind);
  return plain ? { entries: [{ who: person.who, said: { kind: plain }, after }] } : refused();
}

/** Someone leaves early: with word left, a way home, and the minors they answer for taken along or handed over. */
function leftTap(person: RollPerson, typed: Typed, roll: Roll, after: string[]): Tap {
  const told = TOLD.find((one) => one === line(typed, 'told'));
  const home = HOME.find((one) => one === line(typed, 'home'));
  const stop = stopIn(typed, roll, 0);
  const minors = minorsWith(person.who, roll.people, roll.entries);
  const taker = line(typed, 'minors');
  const faults: Faults = {};
  if (!told) faults.told = 'Choose who was told.';
  if (!home) faults.home = 'Choose how they get home.';
  if (stop === null) faults.stop = 'Choose where they left.';
  if (minors.length > 0 && taker !== 'along' && !isWalkingAdult(taker, person.who, roll))
    faults.minors = `Choose who ${minors.map((one) => one.name).join(' and ')} goes with.`;
  if (!told || !home || stop === null || Object.keys(faults).length > 0) return { faults, who: person.who };
  const said: PersonSaid = { kind: 'left', stop, told, home };
  const others = minors.map((minor): Tapped => {
    if (taker === 'along') return { who: minor.who, said, after: standingOf(minor.who, roll).heads };
    return handOver(minor.who, taker, roll);
  });
  return { entries: [{ who: person.who, said, after }, ...others] };
}

function isWalkingAdult(who: string, besides: string, roll: Roll): boolean {
  return who !== besides && walkingAdults(roll).some((one) => one.who === who);
}

/** Who can answer for a minor: the adults who are here or on the way. Pure. */
export function walkingAdults(roll: Pick<Roll, 'people' | 'entries'>): RollPerson[] {
  return everyone(roll)
    .filter(({ person, state }) => !person.minor && ['arrived', 'set off', 'stop'].includes(state))
    .map(({ person }) => person);
}

function handOver(minor: string, guardian: string, roll: Roll): Tapped {
  const before = roll.entries.filter((entry) => entry.said.kind === 'with' && entry.said.minor === minor);
  return { who: 'with', said: { kind: 'with', minor, guardian }, after: standingEntries(before).map((entry) => entry.entry) };
}

function withTap(typed: Typed, roll: Roll): Tap {
  const minor = roll.people.find((one) => one.who === line(typed, 'minor') && one.minor);
  if (!minor) return refused();
  const guardian = line(typed, 'guardian');
  if (guardianNow(minor, roll.people, roll.entries)?.who === guardian) return { entries: [] };
  if (!isWalkingAdult(guardian, minor.who, roll)) return { faults: { guardian: `Choose who answers for ${minor.name}.` }, who: minor.who };
  return { entries: [handOver(minor.who, guardian, roll)] };
}

function backTap(typed: Typed, roll: Roll): Tap {
  const who = line(typed, 'back');
  if (who === '') return { faults: { back: 'Choose who walks last.' } };
  const known = roll.leaders.some((one) => one.who === who) || roll.people.some((one) => one.who === who && !one.minor);
  if (!known) return refused();
  return who === backMarker(roll.entries)
    ? { entries: [] }
    : { entries: [{ who: 'back', said: { kind: 'back', who }, after: heads('back', roll) }] };
}

/** The whole group moves on, or is put back. It sets off with a back marker, and then everyone who arrived sets off with it. */
function groupTap(typed: Typed, roll: Roll): Tap {
  const kind = line(typed, 'kind');
  const after = shownAfter(typed, heads('group', roll));
  const stop = stopIn(typed, roll, 1);
  if (kind === 'stop') return stop === null ? refused() : { entries: [{ who: 'group', said: { kind: 'group', at: 'stop', stop }, after }] };
  if (kind === 'gathering' || kind === 'finish' || kind === 'back to set off')
    return { entries: [{ who: 'group', said: { kind: 'group', at: kind === 'back to set off' ? 'set off' : kind }, after }] };
  if (kind !== 'set off') return refused();
  // Tapped twice, or on two pages: the group has set off, and whoever arrived since is tapped on their own.
  if (groupAt(roll.entries).at !== 'gathering') return { entries: [] };
  const named = backMarker(roll.entries) !== null && line(typed, 'back') === '' ? { entries: [] } : backTap(typed, roll);
  if ('faults' in named) return named;
  const setOff: Said = { kind: 'set off' };
  const here = everyone(roll);
  const people = here.filter((one) => one.state === 'arrived').map((one): Tapped => ({ who: one.who, said: setOff, after: one.heads }));
  if (!here.some((one) => ['arrived', 'set off', 'stop'].includes(one.state)))
    return { faults: { list: 'Nobody has arrived yet. Tap who is here first.' } };
  return { entries: [...named.entries, { who: 'group', said: { kind: 'group', at: 'set off' }, after }, ...people] };
}

/** Who never came, once the group is on its way. */
function restTap(roll: Roll): Tap {
  if (groupAt(roll.entries).at === 'gathering') return refused();
  const rest = everyone(roll).filter((one) => one.state === 'expected');
  return { entries: rest.map((one) => ({ who: one.who, said: { kind: 'not walking' }, after: one.heads })) };
}

/** Heads counted at a stop or the finish: where they agree with the roll, all of them are there. */
function allTap(typed: Typed, roll: Roll): Tap {
  const at = groupAt(roll.entries);
  if ((at.at !== 'stop' && at.at !== 'finish') || line(typed, 'at') !== placeOf(at)) return refused();
  const out = everyone(roll).filter((one) => ['set off', 'stop', 'disputed'].includes(one.state));
  const heads = /^\d{1,4}$/.test(line(typed, 'heads')) ? Number(line(typed, 'heads')) : null;
  if (heads === null) return { faults: { heads: 'Type how many heads you counted, in figures.' } };
  if (heads !== out.length)
    return {
      faults: { heads: `You counted ${heads}; ${out.length} should be here. Count again, or tap who is here: whoever is left is missing.` },
    };
  const said: PersonSaid = at.at === 'stop' ? { kind: 'stop', stop: at.stop } : { kind: 'finished' };
  const ahead = (one: (typeof out)[number]) => at.at === 'stop' && one.state === 'stop' && one.stop >= at.stop;
  return { entries: out.filter((one) => one.state !== 'disputed' && !ahead(one)).map((one) => ({ who: one.who, said, after: one.heads })) };
}

/** A place of the group as a form names it: so that heads counted at one are not taken for those of the next. */
export function placeOf(at: ReturnType<typeof groupAt>): string {
  return at.at === 'stop' ? `stop ${at.stop}` : at.at;
}
