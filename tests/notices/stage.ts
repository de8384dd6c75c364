import { asc, eq } from 'drizzle-orm';
import { leaders, notices, people, signUps } from '../../server/db/schema/index.js';
import { type Outbox, startOutbox } from '../../server/notices/outbox.js';
import { smtpTransport } from '../../server/notices/transport.js';
import { keepSignUp } from '../../server/signups/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import { openSite, type TestSite } from '../support/app.js';
import { walkFacts } from '../support/cast.js';
import { type MailSink, openMailSink } from '../support/mail-sink.js';
import { signUpForm } from '../support/sign-up.js';

export const MINUTE = 60_000;
export const HOUR = 60 * MINUTE;
export const DAY = 24 * HOUR;

/** Longer than a busy machine ever needs to answer. */
const PATIENT = { connectionTimeout: 4000, greetingTimeout: 4000, socketTimeout: 4000 };
/** For tests in which the server hangs: it is noticed soon. */
const HURRIED = { connectionTimeout: 500, greetingTimeout: 500, socketTimeout: 500 };

export interface Stage {
  site: TestSite;
  leaderId: number;
  walkId: number;
  sink: MailSink;
  outbox: Outbox;
  /** Moves the clock on. */
  pass: (ms: number) => void;
  signUp: (email: string, name?: string, people?: number) => number;
  edit: (change: Partial<WalkFacts>, tell?: boolean) => void;
  /** Every notice of a sign-up, oldest first. */
  noticesOf: (signUpId: number) => (typeof notices.$inferSelect)[];
  /** "confirmation sent, change pending" */
  story: (signUpId: number) => string;
  told: (signUpId: number) => number | null;
  /** Delivers what is due; moves the clock past the rests after an unreachable server, but not to any retry. */
  deliver: () => Promise<void>;
  /** A new outbox over the same database, as after a crash. */
  restart: () => Outbox;
  /** From here on, a server that hangs is given up after half a second. */
  hurry: () => void;
  subjects: () => string[];
}

/** The service with one leader, a walk of twelve places ten days off, and an outbox that delivers to a sink when told to. */
export async function openStage(set: Partial<Record<string, string>> = {}): Promise<Stage> {
  const site = await openSite(set);
  const sink = await openMailSink();
  const { db, services, views, clock } = site;
  const leaderId = db.write((tx) => {
    const leader = { name: 'Lena Marsh', email: 'leader@waymeet.example', phone: '+12025550110', createdAt: clock.now };
    const { id } = tx.insert(people).values(leader).returning({ id: people.id }).get();
    tx.insert(leaders).values({ personId: id, areaId: 1, state: 'approved', sinceMonth: '2026-11', createdAt: clock.now }).run();
    return id;
  });
  const walkId = saveNewWalk(services, walkFacts(), leaderId, 'posted');
  let version: WalkFacts = walkFacts();
  const open = (timeouts = PATIENT) => startOutbox(services, views, smtpTransport(sink.url, timeouts), { tickMs: 0, random: () => 0.5 });
  const stage: Stage = {
    site,
    leaderId,
    walkId,
    sink,
    outbox: open(),
    pass: (ms) => {
      clock.now += ms;
    },
    signUp: (email, name = 'Ana Ferreira', people = 1) => {
      const members = Array.from({ length: people }, () => signUpForm({ name }).members[0]).filter((member) => member !== undefined);
      const outcome = services.db.write((tx) => keepSignUp(tx, services, walkId, signUpForm({ email, name, members })));
      if (!('kept' in outcome)) throw new Error(`refused: ${outcome.refused}`);
      return outcome.kept;
    },
    edit: (change, tell = false) => {
      // The instants follow from the wall time anew.
      const { gatherAt: _gather, setOffAt: _setOff, ...rest } = version;
      version = walkFacts({ ...rest, ...change });
      const opened = walkById(db.q, walkId)?.version ?? 0;
      saveEdit(services, { walkId: walkId, opened, facts: version, by: leaderId, tell, post: false });
    },
    noticesOf: (signUpId) => db.q.select().from(notices).where(eq(notices.signUpId, signUpId)).orderBy(asc(notices.id)).all(),
    story: (signUpId) =>
      stage
        .noticesOf(signUpId)
        .map((row) => `${row.kind} ${row.state}`)
        .join(', '),
    told: (signUpId) => db.q.select({ told: signUps.toldVersion }).from(signUps).where(eq(signUps.id, signUpId)).get()?.told ?? null,
    deliver: async () => {
      clock.now += MINUTE / 60;
      await stage.outbox.drain();
    },
    restart: () => {
      stage.outbox = open();
      return stage.outbox;
    },
    hurry: () => {
      stage.outbox = open(HURRIED);
    },
    subjects: () => sink.mails.map((mail) => /^Subject: (.*(?:\r\n[ \t].*)*)/m.exec(mail.raw)?.[1]?.replace(/\r\n[ \t]/g, ' ') ?? ''),
  };
  return stage;
}

export async function closeStage(stage: Stage): Promise<void> {
  await stage.outbox.stop();
  await stage.sink.close();
  saidOfMail(stage);
}

interface SaidOfMail {
  msg: string;
  notice?: number;
  kind?: string;
  why?: string;
  code?: string;
}

/** Takes out of the log what it says of mail given up and of a mail server that is away: on this stage the test makes both happen. */
export function saidOfMail({ site }: Stage): SaidOfMail[] {
  const lines = site.log.splice(0).map((text) => ({ text, read: JSON.parse(text) as SaidOfMail }));
  const isOfMail = ({ read }: { read: SaidOfMail }) => ['mail given up', 'the mail server can not be reached'].includes(read.msg);
  site.log.push(...lines.filter((line) => !isOfMail(line)).map(({ text }) => text));
  return lines.filter(isOfMail).map(({ read }) => read);
}
