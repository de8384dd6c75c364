import type { Faults } from '../../web/forms.js';
import { groupAt, type PersonSaid } from '../ledger.js';
import { rollModel } from '../roll-model.js';
import { clockAt } from '../roll-words.js';
import { sayable } from '../sayable.js';
import { placeOf, readTap, type Tapped } from '../tap.js';
import { el } from './dom.js';
import { foot } from './foot.js';
import { GroupPart } from './group-part.js';
import { alarmsPart, countsPart, headsPart, type RollModel, timerPart } from './heading-parts.js';
import { type Awaited, ListView } from './list-view.js';
import type { LiveRoll } from './live.js';
import { SaidAloud } from './said-aloud.js';
import { SentLine } from './sent-line.js';
import { answering, undoOf } from './undo.js';
import { UndoLine } from './undo-line.js';

/** The lists of the page without script whose people are still to be tapped. */
const AWAITED: Record<string, string> = { 'to-come': 'To come', 'not-here': 'Not here yet', 'on-the-way': 'On the way' };

/** Once the group is on its way, those of these come last. */
const LAST = ['not-off', 'finished', 'left', 'not-walking'];

/** The roll as its script draws it: at once for what was tapped, without asking anybody. What can be said, and its words, are those of the page without script. */
export class RollPage {
  readonly element = el('div', { class: 'roll-live' });
  readonly #roll: LiveRoll;
  readonly #tapped: () => void;
  readonly #counts = countsPart();
  readonly #timer = timerPart();
  readonly #aloud = new SaidAloud();
  readonly #undo = new UndoLine();
  readonly #sent: SentLine;
  readonly #alarms: ReturnType<typeof alarmsPart>;
  readonly #heads: ReturnType<typeof headsPart>;
  readonly #group: GroupPart;
  readonly #list: ListView;

  /** @param tapped something waits to be sent @param send it is to be sent now */
  constructor(roll: LiveRoll, tapped: () => void, send: () => void) {
    const address = (path: string) => `/lead/walks/${roll.state.walk}/roll${path}`;
    const say = (fields: Record<string, string>, words: string) => this.#say(fields, words);
    this.#roll = roll;
    this.#tapped = tapped;
    this.#sent = new SentLine(send);
    this.#alarms = alarmsPart(address);
    this.#heads = headsPart(say);
    this.#group = new GroupPart(say, address);
    this.#list = new ListView({ say, address, sayable: (who) => this.#sayable(who) });
    this.element.append(
      el('div', { class: 'roll-counts', id: 'counts' }, this.#counts.element, this.#sent.element),
      this.#timer.element,
      this.#list.disputed,
      this.#alarms.element,
      this.#heads.element,
      this.#list.element,
      this.#group.element,
      foot((key, name) => this.#add(key, name)),
      this.#undo.element,
      this.#aloud.element,
    );
    this.draw();
  }

  draw(): void {
    const roll = this.#roll.shown();
    const model = rollModel(roll, true);
    const rows = new Map([...model.disputed, ...model.sections.flatMap((section) => section.rows)].map((row) => [row.who, row]));
    this.#counts.draw(model.counts);
    this.#sent.draw(this.#roll, clockAt(this.#roll.heardAt, roll).clock);
    this.#timer.draw({ timer: { ...model.timer, asOf: '' }, sum: model.sum });
    this.#alarms.draw({ missing: model.missing, warnings: model.warnings, noBack: model.noBack });
    this.#heads.draw({ heads: model.heads, fault: undefined });
    this.#group.draw(model);
    this.#list.draw(
      roll.people.map(({ who }) => rows.get(who)).filter((row) => row !== undefined),
      awaitedIn(model, placeOf(groupAt(roll.entries))),
    );
    const unsent = this.#roll.unsent > 0 ? ` ${this.#roll.unsent} not sent.` : '';
    this.#aloud.tell(`${model.counts.map(({ value, label }) => `${value} ${label}`).join(', ')}.${unsent}`);
  }

  #sayable(who: string) {
    const roll = this.#roll.shown();
    const person = roll.people.find((one) => one.who === who);
    return person ? sayable(person, roll) : null;
  }

  #say(fields: Record<string, string>, words: string): Faults | null {
    const before = this.#roll.shown();
    const tap = readTap(fields, before);
    if ('faults' in tap) return tap.faults;
    const undo = undoOf(tap.entries, before);
    this.#undo.show(words, undo && (() => this.#keep(answering(undo, this.#roll.shown().entries))));
    this.#keep(tap.entries);
    return null;
  }

  #add(key: string, name: string): void {
    const who = `t${key}`;
    const said: PersonSaid = { kind: groupAt(this.#roll.shown().entries).at === 'gathering' ? 'arrived' : 'set off' };
    const back = [{ who, said: { kind: 'not walking' } as const }];
    this.#undo.show(`${name} is on the roll`, () => this.#keep(answering(back, this.#roll.shown().entries)));
    void this.#roll.say([{ who, said, after: [] }], { key, name });
    this.#tapped();
  }

  #keep(tapped: Tapped[]): void {
    void this.#roll.say(tapped);
    this.#tapped();
  }
}

/** Whom a leader looks for now. Pure. */
function awaitedIn({ sections, disputed }: RollModel, place: string): Awaited {
  const section = sections.find(({ id }) => AWAITED[id] !== undefined);
  const who = new Set([...(section?.rows ?? []), ...disputed].map((row) => row.who));
  const last = new Set(sections.filter(({ id }) => LAST.includes(id)).flatMap(({ rows }) => rows.map((row) => row.who)));
  return { place, last, word: section ? (AWAITED[section.id] ?? '') : '', who };
}
