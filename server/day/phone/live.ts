import type { NewName, RollState, SentEntry } from '../contract.js';
import type { Tapped } from '../tap.js';
import type { Outcome } from './answer.js';
import { exchange } from './exchange.js';
import { forgetEverything, forgetRoll, forgetShown, hearForget } from './forget.js';
import { type Held, newest, shown, stillUnknown, stillUnsent } from './held.js';
import { newId } from './ids.js';
import type { Kept } from './keep.js';
import type { Trouble } from './sent-words.js';
import { inTurn } from './turns.js';

/** Fewer than the service takes at once: a thin line carries them in one breath. */
const BATCH = 200;

/** One walk's roll on this phone: what the service said, what was tapped here, and the sending of it. */
export class LiveRoll {
  trouble: Trouble = null;
  /** Sentences about entries that the service can't take. */
  refusals: string[] = [];
  /** When the service last answered, by its clock. */
  heardAt: number;
  #held: Held;
  /** Someone signed out here: nothing is written or sent any more. */
  #forgotten = false;
  /** Null where this browser keeps nothing. */
  #kept: Kept | null;
  readonly #device: string;
  readonly #changed: () => void;
  readonly #otherTabs: BroadcastChannel | null;

  constructor(held: Held, kept: Kept | null, device: string, changed: () => void) {
    this.#held = held;
    this.#kept = kept;
    this.#device = device;
    this.#changed = changed;
    this.heardAt = held.state.now;
    this.#otherTabs = kept && 'BroadcastChannel' in globalThis ? new BroadcastChannel(`waymeet-roll-${held.state.walk}`) : null;
    this.#otherTabs?.addEventListener('message', () => void this.reread());
    hearForget(() => void this.#forget());
  }

  get state(): RollState {
    return this.#held.state;
  }

  get keeps(): boolean {
    return this.#kept !== null;
  }

  get unsent(): number {
    return this.#held.unsent.length + this.#held.names.length;
  }

  /** The roll as it stands here, with what waits. */
  shown(): RollState {
    return shown(this.#held, Date.now());
  }

  /** Says this: on the page at once, then in the store, and sent by whoever calls {@link sync}. */
  async say(tapped: Tapped[], name: NewName | null = null): Promise<void> {
    const at = Date.now();
    const entries = tapped.map((one) => ({ ...one, entry: newId(), at }));
    const names = name ? [name] : [];
    this.#hold({ ...this.#held, unsent: [...this.#held.unsent, ...entries], names: [...this.#held.names, ...names] });
    await this.#save(entries, names);
  }

  async #save(entries: SentEntry[], names: NewName[]): Promise<void> {
    try {
      await this.#kept?.keepUnsent(this.state.walk, entries, names);
      this.#otherTabs?.postMessage('said');
    } catch {
      this.#keepsNothing();
    }
  }

  /** The store is full or gone: the page says so, and sends from memory. */
  #keepsNothing(): void {
    this.#kept = null;
    this.#changed();
  }

  /** Takes up what other tabs said and sent. */
  async reread(): Promise<void> {
    if (!this.#kept) return;
    try {
      const stored = await this.#kept.read(this.state.walk);
      const state = stored.state ? newest(this.state, stored.state) : this.state;
      const { unsent, names, clockAhead } = this.#held;
      this.#hold({
        state,
        clockAhead: stored.state && stored.state.now >= this.state.now ? stored.clockAhead : clockAhead,
        unsent: stillUnsent([...stored.unsent, ...unsent], state),
        names: stillUnknown([...stored.names, ...names], state),
      });
    } catch {
      this.#keepsNothing();
    }
  }

  #hold(held: Held): void {
    this.#held = held;
    this.#changed();
  }

  /** Sends what waits, all of it; where nothing does, asks what others said. */
  async sync(): Promise<void> {
    if (this.#forgotten) return;
    await inTurn(`waymeet-roll-${this.state.walk}`, async () => {
      await this.reread();
      for (let before = Number.POSITIVE_INFINITY; ; before = this.unsent) {
        const outcome = await this.#exchange();
        await this.#take(outcome);
        // On with the next batch, as long as each takes something off the queue.
        if (outcome.kind !== 'heard' || this.unsent === 0 || this.unsent >= before) return;
      }
    });
  }

  #exchange(): Promise<Outcome> {
    const { unsent, names, state } = this.#held;
    const sent = {
      csrf: state.csrf,
      device: this.#device,
      sentAt: Date.now(),
      entries: unsent.slice(0, BATCH),
      people: names.slice(0, BATCH),
    };
    return exchange(state.walk, sent);
  }

  async #take(outcome: Outcome): Promise<void> {
    if (this.#forgotten) return;
    if (outcome.kind === 'heard') return this.#hear(outcome);
    this.trouble = outcome.kind;
    if (outcome.kind === 'not yours') await forgetRoll(this.#kept, this.state.walk);
    if (outcome.kind === 'signed out') await forgetShown(this.#kept, this.state.walk);
    this.#changed();
  }

  async #hear({ state, refused }: Extract<Outcome, { kind: 'heard' }>): Promise<void> {
    this.trouble = state.closed ? 'closed' : null;
    this.refusals = [...this.refusals, ...refused.map(({ sentence }) => sentence)];
    this.heardAt = state.now;
    const { unsent, names } = this.#held;
    const never = new Set(refused.map(({ entry }) => entry));
    const waiting = stillUnsent(unsent, state).filter(({ entry }) => !never.has(entry));
    const unknown = stillUnknown(names, state);
    const gone = unsent.filter((entry) => !waiting.includes(entry)).map(({ entry }) => entry);
    const known = names.filter((name) => !unknown.includes(name)).map(({ key }) => key);
    this.#hold({ state: newest(this.state, state), unsent: waiting, names: unknown, clockAhead: state.now - Date.now() });
    if (state.closed && this.unsent === 0) await forgetRoll(this.#kept, this.state.walk);
    else await this.#store(gone, known);
  }

  async #store(gone: string[], known: string[]): Promise<void> {
    try {
      await this.#kept?.keepState(this.state.walk, this.state, this.#held.clockAhead);
      await this.#kept?.dropUnsent(this.state.walk, gone, known);
      this.#otherTabs?.postMessage('sent');
    } catch {
      this.#keepsNothing();
    }
  }

  async #forget(): Promise<void> {
    const kept = this.#kept;
    this.#kept = null;
    this.#forgotten = true;
    this.trouble = 'signed out';
    this.#changed();
    // Again, after whatever this tab had begun to write.
    await forgetEverything(kept);
  }
}
