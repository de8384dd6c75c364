import { instants } from '../calc/zone.js';
import type { GroupSettings } from '../settings/rules.js';
import { placeKinds } from '../strip/places.js';
import type { WalkRow } from '../walks/ledby.js';
import { type Faults, line, lines, type Typed } from '../web/forms.js';
import { fullWhen } from '../web/when.js';
import { SOMEBODY_ELSE } from './form.js';
import type { IncidentRecord } from './record.js';
import { KINDS } from './words.js';

/** Somebody on the roll, as far as the form needs it. */
interface OnRoll {
  who: string;
  name: string;
}

/** The places of a walk that a record can name, in order: value and words. Pure. */
export function placesOf({ stops }: Pick<WalkRow, 'stops'>): { value: string; label: string }[] {
  return [
    { value: 'start', label: 'At the meeting point' },
    ...stops.map((stop, index) => ({
      value: `stop ${index + 1}`,
      label: `At or near stop ${index + 1}: ${stop.name || placeKinds(stop.kinds)}`,
    })),
    { value: 'finish', label: 'At the finish' },
  ];
}

const LINES = ['name', 'whereText', 'date', 'time', 'seenBy'];

/** The fields of the form as they were typed. Pure. */
export function recordForm(typed: Typed, walk: Pick<WalkRow, 'stops'>, roll: OnRoll[], faults: Faults) {
  const chosen = (field: string, options: { value: string; label: string }[]) =>
    options.map((option) => ({ ...option, selected: option.value === line(typed, field) }));
  return {
    form: {
      ...Object.fromEntries(LINES.map((field) => [field, line(typed, field)])),
      what: lines(typed, 'what'),
      done: lines(typed, 'done'),
      needsMore: line(typed, 'needsMore') !== '',
    },
    kinds: chosen(
      'kind',
      Object.entries(KINDS).map(([value, label]) => ({ value, label })),
    ),
    people: chosen('who', [
      ...roll.map(({ who, name }) => ({ value: who, label: name })),
      { value: SOMEBODY_ELSE, label: 'Somebody else, or nobody' },
    ]),
    places: chosen('where', placesOf(walk)),
    called: ['yes', 'no'].map((value) => ({
      value,
      label: value === 'yes' ? 'Called' : 'Not called',
      chosen: value === line(typed, 'called'),
    })),
    faults,
  };
}

/** A record as its form would post it. Pure. @param who on the roll; empty for somebody else */
export function typedRecord(record: IncidentRecord, who: string): Typed {
  const { kind, name, where, whereText, date, time, what, done, seenBy } = record;
  return {
    ...{ kind, where, whereText, date, time, what, done, seenBy },
    who: who === '' ? SOMEBODY_ELSE : who,
    name: who === '' ? name : '',
    called: record.called ? 'yes' : 'no',
    needsMore: record.needsMore ? 'yes' : '',
  };
}

/** A record in words, as it is read. Pure. */
export function recordWords(
  record: IncidentRecord,
  walk: Pick<WalkRow, 'stops' | 'zone'>,
  settings: Pick<GroupSettings, 'locale' | 'clock'>,
) {
  const place = placesOf(walk).find(({ value }) => value === record.where)?.label ?? '';
  return {
    kind: KINDS[record.kind],
    to: record.name || 'nobody named',
    where: [place, record.whereText].filter((part) => part !== '').join('. '),
    when: whenWords(record, walk.zone, settings),
    what: record.what,
    done: record.done,
    called: record.called,
    seenBy: record.seenBy,
    needsMore: record.needsMore,
  };
}

/** Of an hour that happened twice, the first: the record does not say which. */
function whenWords({ date, time }: IncidentRecord, zone: string, settings: Pick<GroupSettings, 'locale' | 'clock'>): string {
  const [at] = instants(date, time, zone);
  return at === undefined ? `${date}, ${time}` : fullWhen(at, zone, settings);
}
