import type { Services } from '../services.js';
import type { Views } from '../web/render.js';
import type { OweContext } from './compose.js';
import type { NoticeContent } from './content.js';
import { pauseAfter, retryWait } from './due.js';
import { type Letter, type MailMaker, mailMaker } from './mail.js';
import { type Claim, type Claimed, type Ended, openQueue } from './queue.js';
import type { Mail, Outcome, Transport } from './transport.js';
import { withoutAddress } from './without-address.js';

const TICK_MS = 1000;
/** A stop lets the mail in flight land for this long, then breaks off. */
const STOP_MS = 3000;

export interface Outbox {
  /** Mail may be due: look now. */
  nudge: () => void;
  /** Resolves when nothing is due any more, or the mail server rests. */
  drain: () => Promise<void>;
  stop: () => Promise<void>;
}

export interface OutboxOptions {
  /** How often to look unasked, ms; 0: only when nudged or drained. */
  tickMs?: number;
  /** 0 to 1, spreads the retries. */
  random?: () => number;
}

/** Delivers owed mail, one at a time, from the database. Puts what a crash left in flight back first. */
export function startOutbox(services: Services, views: Views, transport: Transport, options: OutboxOptions = {}): Outbox {
  const outbox = new Delivery(services, mailMaker(services, views), transport, options.random ?? Math.random);
  const tickMs = options.tickMs ?? TICK_MS;
  const timer = tickMs > 0 ? setInterval(() => void outbox.run(), tickMs) : undefined;
  outbox.release('all');
  if (tickMs > 0) setImmediate(() => void outbox.run());
  return {
    nudge: () => {
      setImmediate(() => void outbox.run());
    },
    drain: () => outbox.run(),
    stop: () => {
      clearInterval(timer);
      return outbox.stop();
    },
  };
}

/** How a mail fared: the notices that were in it, and those that could not be put in it. */
interface Attempt {
  rows: Claimed[];
  broken: Claimed[];
  outcome: Outcome;
}

const NOT_MADE: Outcome = { is: 'refused', why: 'The mail could not be made; the log says why.' };

class Delivery {
  readonly #queue;
  /** Leases are this process's own, and each its own. */
  readonly #token: string;
  #claims = 0;
  #running: Promise<void> | undefined;
  #again = false;
  #stopping = false;
  /** After the mail server could not be used: how often in a row, and until when it is left alone. */
  #failures = 0;
  #restUntil = 0;

  constructor(
    private readonly services: Services,
    private readonly mails: MailMaker,
    private readonly transport: Transport,
    private readonly random: () => number,
  ) {
    this.#token = services.secret();
    const { log } = services;
    this.#queue = openQueue(
      services.db,
      (error, signUpId) => log.error({ err: error, signUpId }, 'notices could not be brought in line'),
      ({ id, kind, toEmail }, why) => log.warn({ notice: id, kind, why: withoutAddress(why, toEmail) }, 'mail given up'),
    );
  }

  /** Delivers until nothing is due. Asked while at it, it looks once more before it ends. */
  async run(): Promise<void> {
    this.#again = true;
    this.#running ??= this.#deliverAll().finally(() => {
      this.#running = undefined;
    });
    return this.#running;
  }

  async stop(): Promise<void> {
    this.#stopping = true;
    const timer = setTimeout(() => this.transport.breakOff(), STOP_MS);
    await this.#running;
    clearTimeout(timer);
    this.transport.close();
  }

  release(which: 'all' | 'expired'): void {
    const { db } = this.services;
    const count = db.write((tx) => this.#queue.release(tx, this.#context(), which));
    if (count > 0) this.services.log.warn({ count }, 'mail was in flight when the service stopped; it goes again');
  }

  async #deliverAll(): Promise<void> {
    while (this.#again && !this.#stopping) {
      this.#again = false;
      try {
        await this.#deliverDue();
      } catch (error) {
        // The database refused: what was claimed comes back when its lease runs out.
        this.services.log.error({ err: error }, 'the outbox could not use the database');
        return;
      }
    }
  }

  async #deliverDue(): Promise<void> {
    const { db } = this.services;
    this.#releaseExpired();
    let claimed = this.#mayTry() ? db.write(() => this.#claim()) : undefined;
    while (claimed) {
      claimed = this.#endAndClaim(await this.#attempt(claimed));
    }
  }

  #releaseExpired(): void {
    const { db } = this.services;
    const now = this.services.now();
    const expired = db.raw.prepare("SELECT 1 FROM notices WHERE state = 'sending' AND lease_until <= ? LIMIT 1").get(now);
    if (expired) this.release('expired');
  }

  #mayTry(): boolean {
    return !this.#stopping && this.services.now() >= this.#restUntil;
  }

  #claim(): Claim | undefined {
    this.#claims += 1;
    return this.#queue.claim(this.#context(), `${this.#token}-${this.#claims}`);
  }

  /** Every error is caught here and stored on the row: one bad row never holds the others, not even those of its own mail. */
  async #attempt(claim: Claim): Promise<Attempt> {
    const made = claim.map((row) => ({ row, letter: this.#letterOf(row) }));
    const broken = made.filter(({ letter }) => letter === null).map(({ row }) => row);
    const [first, ...rest] = made.flatMap(({ row, letter }) => (letter ? [{ row, letter }] : []));
    if (!first) return { rows: [], broken, outcome: NOT_MADE };
    const rows = [first, ...rest].map(({ row }) => row);
    let mail: Mail;
    try {
      mail = rest.length === 0 ? this.mails.make(first.letter) : this.mails.makeLot([first.letter, ...rest.map(({ letter }) => letter)]);
    } catch (error) {
      this.#logUnmade(first.row, error);
      return { rows, broken, outcome: NOT_MADE };
    }
    return { rows, broken, outcome: await this.transport.deliver(mail) };
  }

  /** A row as its mail is made from it; null where none can be. One that goes with others is tried on its own first. */
  #letterOf(row: Claimed): Letter | null {
    try {
      const letter = { ...row, content: JSON.parse(row.content) as NoticeContent };
      if (row.lot !== null) this.mails.make(letter);
      return letter;
    } catch (error) {
      this.#logUnmade(row, error);
      return null;
    }
  }

  #logUnmade(row: Claimed, error: unknown): void {
    this.services.log.error({ err: error, notice: row.id, kind: row.kind }, 'a mail could not be made');
  }

  /** Stores how an attempt ended, for every notice that was in the mail, and takes the next, in one commit. */
  #endAndClaim({ rows, broken, outcome }: Attempt): Claim | undefined {
    const { db, log } = this.services;
    this.#rest(outcome);
    const ended = this.#endOf(rows, outcome);
    if (outcome.is === 'wait')
      for (const { id, kind, attempts } of rows) log.info({ notice: id, kind, attempts, state: ended.state }, 'mail not delivered');
    return db.write((tx) => {
      for (const row of broken) this.#queue.end(tx, this.#context(), row, this.#endOf([row], NOT_MADE));
      for (const row of rows) this.#queue.end(tx, this.#context(), row, ended);
      return this.#mayTry() ? this.#claim() : undefined;
    });
  }

  /** What goes together waits together, until the first of it is given up. */
  #endOf(rows: Claimed[], outcome: Outcome): Ended {
    if (outcome.is === 'sent' || outcome.is === 'kept') return { state: outcome.is };
    if (outcome.is === 'refused') return { state: 'failed', error: outcome.why, unsure: false };
    const wait = retryWait(rows[0]?.attempts ?? 1, outcome.connection, this.random());
    const dueAt = Math.min(this.services.now() + wait, ...rows.map((row) => row.giveUpAt));
    return { state: 'pending', error: outcome.why, unsure: outcome.unsure, dueAt };
  }

  /** Where the server could not be used, the next mails would only wait for the same: it is left alone a little. */
  #rest(outcome: Outcome): void {
    const unreachable = outcome.is === 'wait' && outcome.connection;
    // Once each time it goes away: the tries that follow tell nothing new.
    if (unreachable && this.#failures === 0) this.services.log.warn({ code: outcome.code }, 'the mail server can not be reached');
    this.#failures = unreachable ? this.#failures + 1 : 0;
    if (unreachable) this.#restUntil = this.services.now() + pauseAfter(this.#failures);
  }

  #context(): OweContext {
    return { now: this.services.now(), settings: this.services.settings(), config: this.services.config };
  }
}
