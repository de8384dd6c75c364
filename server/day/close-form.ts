import { EMAIL_FAULT, readEmail } from '../people/email.js';
import type { WalkFacts } from '../walks/facts.js';
import { type Faults, groups, isDate, line, type Typed, ticked } from '../web/forms.js';
import { type Ended, endedKey, endings, NO_WORD, saidOf, type Word } from './closing-rules.js';
import type { NewHazard } from './hazards-store.js';
import type { Settled } from './settle.js';

const MOST_NAME = 80;
const MOST_PLACE = 120;
const MOST_WHAT = 300;
/** Blank rows of a form, for people and for hazards. */
export const BLANK_PEOPLE = 3;
export const BLANK_HAZARDS = 2;
/** What a form is named by: people and hazards typed in it get their keys from it. */
const FORM_ID = /^[A-Za-z0-9_-]{16,32}$/;

/** Someone on the roll, as the form knows them. */
export interface Known {
  who: string;
  name: string;
  /** How it ended for them as far as is known: by the attendance of a closed walk, else by the roll. */
  ended: Ended | null;
  word: Word;
  /** No roll was kept, of them or of anybody: whoever is missing from one is never taken as having walked. */
  onPaperOnly: boolean;
}

/** Someone who turned up, and stood on paper only. */
export interface OnPaper {
  key: string;
  name: string;
  email: string;
}

/** What a leader says as they close a walk, or put it right. */
export interface Closing {
  settled: Settled[];
  turnedUp: OnPaper[];
  /** Addresses that people who turned up left, by `who`. */
  addresses: { who: string; email: string }[];
  /** How the walk had been closed for people as the form showed it, by `who`: '' where it had not; nobody whose row does not say. */
  shown: ReadonlyMap<string, string>;
  hazards: NewHazard[];
}

interface Around {
  people: readonly Known[];
  walk: Pick<WalkFacts, 'distanceMetres' | 'stops'>;
}

/** Reads a posted closing form. Everyone on the roll must have an ending; whoever left early, someone who was told and a way home. Pure. */
export function readClosing(typed: Typed, { people, walk }: Around): { closing: Closing } | { faults: Faults } {
  const faults: Faults = {};
  const ways = new Map(endings(walk).map((ended) => [endedKey(ended), ended]));
  const rows = groups(typed, 'people');
  const settled: Settled[] = [];
  const addresses: Closing['addresses'] = [];
  const shown = new Map<string, string>();
  for (const [index, person] of people.entries()) {
    // A form from before they turned up says nothing of them.
    const row = rows.find((one) => line(one, 'who') === person.who) ?? {};
    const field = `people[${index}]`;
    const one = readRow(row, { person, rest: ticked(typed, 'rest'), ways }, field, faults);
    if (one) settled.push({ who: person.who, ...one, seen: 'seen' in row ? idsOf(row) : null });
    if ('kept' in row) shown.set(person.who, line(row, 'kept'));
    const email = readAddress(row, field, faults);
    if (email !== '') addresses.push({ who: person.who, email });
  }
  const form = formId(typed);
  const turnedUp = readTurnedUp(typed, form, ways, faults);
  const hazards = readHazards(typed, form, faults);
  if (Object.keys(faults).length > 0) return { faults };
  return {
    closing: {
      settled: [...settled, ...turnedUp.map(({ key, ended, word }) => ({ who: `t${key}`, ended, word, seen: null }))],
      turnedUp: turnedUp.map(({ key, name, email }) => ({ key, name, email })),
      addresses,
      shown,
      hazards,
    },
  };
}

/** The name of a form; of one that has none, "". Pure. */
export function formId(typed: Typed): string {
  const id = line(typed, 'form');
  return FORM_ID.test(id) ? id : '';
}

function idsOf(row: Typed): string[] {
  return line(row, 'seen')
    .split(' ')
    .filter((id) => id !== '');
}

type Ways = ReadonlyMap<string, Ended>;

function readRow(
  row: Typed,
  { person, rest, ways }: { person: Known; rest: boolean; ways: Ways },
  field: string,
  faults: Faults,
): { ended: Ended; word: Word } | null {
  const chosen = ways.get(line(row, 'ended'));
  // A form without the row leaves someone as they are.
  const ended = chosen ?? ('ended' in row ? null : person.ended) ?? (rest && person.onPaperOnly ? ways.get('full') : null);
  if (!ended) {
    faults[`${field}[ended]`] = `Say how the walk ended for ${person.name}.`;
    return null;
  }
  const word = chosen ? readWord(row) : person.word;
  return checkWord(ended, word, person.name, field, faults) ? { ended, word } : null;
}

function readWord(row: Typed): Word {
  return { told: line(row, 'told'), home: line(row, 'home') };
}

function checkWord(ended: Ended, word: Word, name: string, field: string, faults: Faults): boolean {
  if (saidOf(ended, word)) return true;
  if (word.told === '') faults[`${field}[told]`] = `Say whom ${name} told.`;
  if (word.home === '') faults[`${field}[home]`] = `Say how ${name} got home.`;
  if (word.told !== '' && word.home !== '') faults[`${field}[told]`] = 'Choose from the lists.';
  return false;
}

function readAddress(row: Typed, field: string, faults: Faults): string {
  const typed = line(row, 'email');
  const email = typed === '' ? '' : readEmail(typed);
  if (email === null) faults[`${field}[email]`] = EMAIL_FAULT;
  return email ?? '';
}

function readTurnedUp(typed: Typed, form: string, ways: Ways, faults: Faults): (OnPaper & { ended: Ended; word: Word })[] {
  return groups(typed, 'new').flatMap((row, index) => {
    const field = `new[${index}]`;
    const name = line(row, 'name');
    const email = readAddress(row, field, faults);
    const ended = ways.get(line(row, 'ended')) ?? null;
    if (name === '' && line(row, 'email') === '' && ended === null) return [];
    if (form === '') faults[`${field}[name]`] = 'This form is damaged. Open the page again, and type it there.';
    else if (!/\p{L}/u.test(name)) faults[`${field}[name]`] = 'Type the name of whoever turned up.';
    else if (name.length > MOST_NAME) faults[`${field}[name]`] = `Keep the name under ${MOST_NAME} characters.`;
    if (!ended) {
      faults[`${field}[ended]`] = `Say how the walk ended for ${name || 'them'}.`;
      return [];
    }
    const word = ended.how === 'left' ? readWord(row) : NO_WORD;
    return checkWord(ended, word, name || 'they', field, faults) ? [{ key: `${form}-${index}`, name, email, ended, word }] : [];
  });
}

function readHazards(typed: Typed, form: string, faults: Faults): NewHazard[] {
  return groups(typed, 'hazards').flatMap((row, index) => {
    const [place, what, untilDate] = [line(row, 'place'), line(row, 'what'), line(row, 'until')];
    if (place === '' && what === '' && untilDate === '') return [];
    const field = `hazards[${index}]`;
    if (what === '') faults[`${field}[what]`] = 'Say what is in the way.';
    else if (what.length > MOST_WHAT) faults[`${field}[what]`] = `Keep it under ${MOST_WHAT} characters.`;
    if (place === '') faults[`${field}[place]`] = 'Say where: a stop, or how far along.';
    else if (place.length > MOST_PLACE) faults[`${field}[place]`] = `Keep it under ${MOST_PLACE} characters.`;
    if (untilDate !== '' && !isDate(untilDate)) faults[`${field}[until]`] = 'Choose a date, or leave it empty.';
    if (form === '' && what !== '') faults[`${field}[what]`] = 'This form is damaged. Open the page again, and type it there.';
    return [{ key: `${form}-${index}`, place, what, untilDate }];
  });
}
