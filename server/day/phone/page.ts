import { guardianWarnings } from '../guardians.js';
import { byPerson, type GroupSaid, groupAt, type PersonSaid, type Said, standing } from '../ledger.js';
import { el } from './dom.js';
import { awaited, type Figure, figuresOf, phaseNumber } from './figures.js';
import { GroupView } from './group-view.js';
import { newId } from './ids.js';
import { ListView } from './list-view.js';
import type { Change, LiveRoll } from './live.js';
import { newPerson } from './new-person.js';
import { type Ground, type Phase, type Row, rowOf } from './rows.js';
import { SaidAloud } from './said-aloud.js';
import type { Sender } from './sender.js';
import { SentLine } from './sent-line.js';
import { type Undo, UndoLine } from './undo-line.js';

/** The roll as it is drawn on a phone: at once for what was tapped, without asking anybody. */
export class RollPage {
  readonly element = el('div', { class: 'roll-live' });
  readonly #roll: LiveRoll;
  readonly #sender: () => Sender;
  readonly #clock: (at: number) => string;
  readonly #figures = el('dl', { class: 'roll-figures' });
  readonly #warnings = el('div');
  readonly #aloud = new SaidAloud();
  readonly #sent: SentLine;
  readonly #group: GroupView;
  readonly #list: ListView;
  readonly #undo: UndoLine;

  /** @param sender what sends the taps; it starts after the page */
  constructor(roll: LiveRoll, sender: () => Sender) {
    const { locale, zone, clock, walk } = roll.state;
    const format = new Intl.DateTimeFormat(locale, { timeZone: zone, hour: 'numeric', minute: '2-digit', hour12: clock === 12 });
    this.#roll = roll;
    this.#sender = sender;
    this.#clock = (at) => format.format(at);
    this.#sent = new SentLine(() => void sender().now());
    this.#group = new GroupView(roll, this.#clock, (said, words) => this.#sayGroup(said, words));
    this.#list = new ListView(walk, roll.people.length, (row, said, words) => this.#sayOf(row, said, words));
    this.#undo = new UndoLine((undo) => this.#say(undo));
    this.element.append(
      this.#figures,
      this.#sent.element,
      this.#warnings,
      this.#group.element,
      this.#list.element,
      newPerson((name) => this.#add(name)),
      this.#undo.element,
      this.#aloud.element,
    );
    this.draw('all');
  }

  draw(change: Change): void {
    const entries = this.#roll.entries();
    const phase = phaseNumber(groupAt(entries));
    const roster = this.#roll.people.map(({ who }) => who);
    const everyone = change === 'all' || change.includes('group');
    const rows = this.#rows(everyone ? null : new Set(change), phase);
    if (everyone) this.#list.drawAll(rows);
    else for (const row of rows) this.#list.draw(row);
    if (change.length > 0) this.#count(phase, roster, entries);
    this.#sent.draw(this.#roll, this.#clock);
    this.#group.draw(phase);
  }

  /** @param only these people, or everyone */
  #rows(only: ReadonlySet<string> | null, phase: Phase): Row[] {
    const ground: Ground = { phase, stops: this.#roll.state.stops, clock: this.#clock };
    const people = only ? this.#roll.people.filter(({ who }) => only.has(who)) : this.#roll.people;
    return people.map((person) => rowOf(person, this.#roll.of(person.who), ground));
  }

  #count(phase: Phase, roster: string[], entries: ReturnType<LiveRoll['entries']>): void {
    const figures = figuresOf(phase, roster, entries);
    this.#figures.replaceChildren(...figures.map(figureOf));
    const word = phase === 0 ? 'To come' : phase === Number.POSITIVE_INFINITY ? 'Still out' : phase > 1 ? 'Missing' : '';
    this.#list.await(word, awaited(phase, roster, entries));
    const warnings = guardianWarnings(this.#roll.people, entries);
    this.#warnings.className = warnings.length > 0 ? 'note caution' : '';
    this.#warnings.replaceChildren(...warnings.map(({ sentence }) => el('p', {}, sentence)));
    const unsent = this.#roll.unsent > 0 ? ` ${this.#roll.unsent} not sent.` : '';
    this.#aloud.tell(`${figures.map(({ value, label }) => `${value} ${label}`).join(', ')}.${unsent}`);
  }

  #sayOf(row: Row, said: PersonSaid, words: string): void {
    const before = standing(this.#roll.of(row.who)).said;
    const [only] = before;
    const undo: Undo = before.length > 1 ? [] : [{ who: row.who, said: only ?? { kind: 'expected' } }];
    this.#undo.show(`${row.name}: ${words.toLowerCase()}`, undo);
    this.#say([{ who: row.who, said }]);
  }

  /** Setting off is said of everyone who has arrived, too. */
  #sayGroup(said: GroupSaid, words: string): void {
    const entries = this.#roll.entries();
    const people = byPerson(entries);
    const leaving = said.at === 'set off' ? this.#roll.people.filter(({ who }) => standing(people.get(who) ?? []).state === 'arrived') : [];
    const undo: Undo = [{ who: 'group', said: groupAt(entries) }, ...leaving.map(({ who }) => ({ who, said: { kind: 'arrived' } as const }))];
    this.#undo.show(leaving.length > 0 ? `${words}, ${leaving.length} of them` : words, undo);
    this.#say([{ who: 'group', said }, ...leaving.map(({ who }) => ({ who, said: { kind: 'set off' } as const }))]);
  }

  #add(name: string): void {
    const key = newId();
    const phase = phaseNumber(groupAt(this.#roll.entries()));
    const said: PersonSaid = phase === 0 ? { kind: 'arrived' } : { kind: 'set off' };
    this.#undo.show(`${name} is on the roll`, [{ who: `t${key}`, said: { kind: 'not walking' } }]);
    void this.#roll.say([{ who: `t${key}`, said }], { key, name });
    this.#sender().soon();
  }

  #say(all: { who: string; said: Said }[]): void {
    void this.#roll.say(all);
    this.#sender().soon();
  }
}

function figureOf({ label, value, open }: Figure): HTMLElement {
  return el('div', open ? { class: 'open' } : {}, el('dt', {}, label), el('dd', {}, String(value)));
}
