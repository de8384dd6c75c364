import type { RollState } from './contract.js';
import { guardianWarnings } from './guardians.js';
import { backMarker, byPerson, type GroupSaid, groupAt, headcount, mayClose, missingAt, type Standing, standing } from './ledger.js';
import { backModel, groupModel, headsModel } from './roll-group.js';
import { type One, rowOf } from './roll-rows.js';
import { clockAt, lastSeen, stopName } from './roll-words.js';
import { timerModel } from './timer-model.js';

/** The roll as its page shows it. Pure. @param mayWrite whoever looks keeps the roll, and it is open */
export function rollModel(roll: RollState, mayWrite: boolean) {
  const said = byPerson(roll.entries);
  const at = groupAt(roll.entries);
  const back = backMarker(roll.entries);
  const ones = roll.people.map((person): One => {
    const entries = said.get(person.who) ?? [];
    const now = standing(entries);
    const heads = entries.filter((entry) => now.heads.includes(entry.entry)).map((entry) => entry.at);
    return { person, now, at: heads.length > 0 ? Math.max(...heads) : null };
  });
  const count = headcount(
    roll.people.map((one) => one.who),
    roll.entries,
  );
  const row = (one: One) => rowOf(one, { roll, at, back, mayWrite });
  const disputed = ones.filter((one) => one.now.state === 'disputed');
  return {
    counts: countsOf(count, at, roll),
    sum: at.at === 'gathering' ? null : sumWords(count),
    timer: timerModel(roll),
    atPlace: at.at === 'stop' ? stopName(at.stop, roll) : null,
    disputed: disputed.map(row),
    warnings: guardianWarnings(roll.people, roll.entries),
    missing: missingBefore(at, roll, ones),
    backMarker: backModel(roll, ones, back),
    noBack: at.at !== 'gathering' && back === null,
    /** Nobody is left to tap where the group is: it goes on. */
    allTapped: isAllTapped(at, ones),
    sections: sectionsOf(at, ones, roll).map((section) => ({ ...section, count: section.ones.length, rows: section.ones.map(row) })),
    heads: mayWrite ? headsModel(at, ones) : null,
    rest: mayWrite && at.at !== 'gathering' ? count.toCome : 0,
    group: mayWrite ? groupModel(at, roll) : null,
    mayClose: at.at === 'finish' && mayClose(count),
    unsettled: count.unsettled.length,
    empty: roll.people.length === 0,
  };
}

type Count = ReturnType<typeof headcount>;

function countsOf(count: Count, at: GroupSaid, roll: RollState) {
  const figure = (value: number, label: string, isOpen = false) => ({ value, label, isOpen: isOpen && value > 0 });
  if (at.at === 'gathering')
    return [
      figure(count.signedUp, 'on the roll'),
      figure(count.arrived, 'arrived'),
      figure(count.toCome + count.disputed, 'to come', true),
      figure(count.notWalking, 'not walking'),
    ];
  const who = roll.people.map((one) => one.who);
  const last =
    at.at === 'stop'
      ? figure(missingAt(at.stop, who, roll.entries).length, 'not here yet', true)
      : figure(count.onTheWay + count.disputed, 'on the way', at.at === 'finish');
  return [figure(count.setOff, 'set off'), last, figure(count.left, 'left early'), figure(count.finished, 'finished')];
}

/** The identity of the headcount, said: whoever set off is somewhere. */
function sumWords({ setOff, finished, left, onTheWay }: Count): string {
  const unsure = setOff - finished - left - onTheWay;
  const open = [`${onTheWay} on the way`, ...(unsure > 0 ? [`${unsure} to settle`] : [])];
  return `${setOff} set off = ${finished} finished + ${left} left early + ${open.join(' + ')}`;
}

/** Who was not counted where the group was before: with what is known of each. Null where nobody was counted there at all. */
function missingBefore(at: GroupSaid, roll: RollState, ones: One[]) {
  const stop = at.at === 'stop' ? at.stop - 1 : at.at === 'finish' ? roll.stops.length : 0;
  if (stop === 0) return null;
  const who = roll.people.map((one) => one.who);
  const missing = new Set(missingAt(stop, who, roll.entries));
  const counted = ones.some(({ now }) => (now.state === 'stop' && now.stop >= stop) || (now.state === 'finished' && at.at === 'stop'));
  const people = ones
    .filter((one) => missing.has(one.person.who) && one.now.state !== 'disputed')
    .map((one) => ({
      who: one.person.who,
      name: one.person.name,
      seen: lastSeen(one.now, roll),
      at: one.at === null ? null : clockAt(one.at, roll).clock,
    }));
  if (people.length === 0) return null;
  return { stop: stopName(stop, roll), people: counted ? people : [], uncounted: !counted };
}

function isAllTapped(at: GroupSaid, ones: One[]): boolean {
  const open = {
    gathering: ['expected', 'disputed'],
    'set off': ['disputed'],
    stop: ['set off', 'disputed'],
    finish: ['set off', 'stop', 'disputed'],
  }[at.at];
  return ones.every(({ now }) => !open.includes(now.state) && (at.at !== 'stop' || now.state !== 'stop' || now.stop >= at.stop));
}

interface Section {
  id: string;
  title: string;
  ones: One[];
}

/** The lists of the page: whoever is to be tapped first. */
function sectionsOf(at: GroupSaid, ones: One[], roll: RollState): Section[] {
  const of = (...states: Standing['state'][]) => ones.filter((one) => states.includes(one.now.state));
  const gone = [
    { id: 'left', title: 'Left early', ones: of('left') },
    { id: 'not-walking', title: 'Not walking', ones: of('not walking') },
  ];
  if (at.at === 'gathering')
    return [
      { id: 'to-come', title: 'To come', ones: of('expected') },
      { id: 'arrived', title: 'Arrived', ones: of('arrived', 'set off', 'stop', 'finished') },
      ...gone,
    ].filter((section) => section.ones.length > 0);
  const isHere = ({ now }: One) => now.state === 'stop' && at.at === 'stop' && now.stop >= at.stop;
  const out = of('set off', 'stop');
  const onTheWay =
    at.at === 'stop'
      ? [
          { id: 'not-here', title: `Not counted at ${stopName(at.stop, roll)} yet`, ones: out.filter((one) => !isHere(one)) },
          { id: 'here', title: `At ${stopName(at.stop, roll)}`, ones: out.filter(isHere) },
        ]
      : [{ id: 'on-the-way', title: 'On the way', ones: out }];
  const late = { id: 'not-off', title: 'Not set off', ones: of('expected', 'arrived') };
  return [...onTheWay, late, { id: 'finished', title: 'Finished', ones: of('finished') }, ...gone].filter(
    (section) => section.ones.length > 0,
  );
}
