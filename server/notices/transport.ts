import type { Readable } from 'node:stream';
import nodemailer from 'nodemailer';
import type { Config } from '../config.js';

const CONNECTION_MS = 10_000;
const GREETING_MS = 10_000;
const SOCKET_MS = 20_000;
/** One attempt takes no longer, however slowly a server trickles its answers; shorter than the lease (queue.ts). */
const ATTEMPT_MS = 45_000;

/** One mail, made and ready. */
export interface Mail {
  messageId: string;
  date: Date;
  from: string;
  to: { name: string; address: string };
  /** Where an answer goes; null where it goes nowhere but to `from`. */
  replyTo: { name: string; address: string } | null;
  subject: string;
  text: string;
  html: string;
  calendar: CalendarPart | null;
  /** Calendars of a mail about several walks: each a file of its own, since one invitation is about one event (RFC 5546, 3.2.2). */
  attached?: CalendarPart[];
  /** The address that turns mails of this kind off, for the recipient alone. */
  unsubscribe?: string;
}

export interface CalendarPart {
  method: 'REQUEST' | 'CANCEL';
  body: string;
}

/**
 * What came of an attempt. `unsure`: the message was under way and no answer came, so it may have arrived. `connection`: the server
 * could not be used at all, which is not about this mail. `code`: the answer's number, or the system's or library's word for the fault.
 */
export type Outcome =
  | { is: 'sent' }
  | { is: 'kept' }
  | { is: 'refused'; why: string }
  | { is: 'wait'; why: string; code: string; unsure: boolean; connection: boolean };

export interface Transport {
  /** Never throws. */
  deliver: (mail: Mail) => Promise<Outcome>;
  /** Ends the attempt under way. */
  breakOff: () => void;
  close: () => void;
}

/** SMTP where SMTP_URL is set; else mail stays in the database and is read at /coordinate/mail. */
export function chooseTransport(config: Config): Transport {
  return config.smtpUrl === undefined ? keepTransport() : smtpTransport(config.smtpUrl);
}

function keepTransport(): Transport {
  return { deliver: () => Promise.resolve({ is: 'kept' }), breakOff: () => {}, close: () => {} };
}

export interface Timeouts {
  connectionTimeout: number;
  greetingTimeout: number;
  socketTimeout: number;
}

const TIMEOUTS: Timeouts = { connectionTimeout: CONNECTION_MS, greetingTimeout: GREETING_MS, socketTimeout: SOCKET_MS };

/** One pooled connection, one mail at a time: whatever crashes, at most the one in flight is sent twice. */
export function smtpTransport(url: string, timeouts: Timeouts = TIMEOUTS): Transport {
  const pool = nodemailer.createTransport({
    url,
    pool: true,
    maxConnections: 1,
    maxMessages: Number.POSITIVE_INFINITY,
    // One reconnection where the server had closed an idle connection; more waits are the outbox's to decide.
    maxRequeues: 1,
    disableFileAccess: true,
    disableUrlAccess: true,
    ...timeouts,
  } as Parameters<typeof nodemailer.createTransport>[0]);
  // One mail at a time, so this is the one being sent.
  let current: Readable | undefined;
  const begun = () => current?.readableDidRead === true;
  pool.use('stream', (mail, done) => {
    // Nothing else tells whether the server had been given any of the message when the connection was lost.
    const create = mail.message.createReadStream.bind(mail.message);
    mail.message.createReadStream = (options) => {
      current = create(options);
      return current;
    };
    done();
  });
  const limit = timeLimit(ATTEMPT_MS);
  return {
    async deliver(mail) {
      current = undefined;
      try {
        await pool.sendMail({ ...headers(mail), signal: limit.start() });
        return { is: 'sent' };
      } catch (error) {
        return judge(error as SmtpError, begun());
      } finally {
        limit.stop();
      }
    },
    breakOff: limit.breakOff,
    close: () => pool.close(),
  };
}

/** One signal and one timer for many attempts: making both anew for each mail costs more than composing it. */
function timeLimit(ms: number) {
  let controller = new AbortController();
  let timing = false;
  const timer = setTimeout(() => timing && controller.abort(), ms).unref();
  return {
    start(): AbortSignal {
      if (controller.signal.aborted) controller = new AbortController();
      timing = true;
      timer.refresh();
      return controller.signal;
    },
    stop(): void {
      timing = false;
    },
    breakOff: () => controller.abort(),
  };
}

/** The mail in nodemailer's words. Names and addresses apart, so that a comma in a name makes no second recipient. */
export function headers(mail: Mail) {
  const { messageId, date, from, to, replyTo, subject, text, html, calendar, attached = [], unsubscribe } = mail;
  return {
    messageId,
    date,
    from,
    to,
    ...(replyTo ? { replyTo } : {}),
    subject,
    text,
    html,
    headers: { 'Auto-Submitted': 'auto-generated', ...(unsubscribe === undefined ? {} : unsubscribing(unsubscribe)) },
    ...(calendar ? { icalEvent: { method: calendar.method, filename: 'walk.ics', content: calendar.body } } : {}),
    ...(attached.length > 0 ? { attachments: attached.map(attachment) } : {}),
  };
}

/** RFC 2369; the one click of RFC 8058 only where the address is https, as it asks. */
function unsubscribing(address: string): Record<string, string> {
  const list = { 'List-Unsubscribe': `<${address}>` };
  return address.startsWith('https:') ? { ...list, 'List-Unsubscribe-Post': 'List-Unsubscribe=One-Click' } : list;
}

function attachment({ method, body }: CalendarPart, index: number) {
  return { filename: `walk-${index + 1}.ics`, content: body, contentType: `text/calendar; charset=utf-8; method=${method}` };
}

export interface SmtpError extends Error {
  code?: string;
  command?: string;
  response?: string;
  responseCode?: number;
  /** Of errors of Node's own network calls. */
  syscall?: string;
}

/** Nodemailer's words for a server that can't be reached or won't talk. */
const NO_SERVER = [
  'ECONNECTION',
  'ETIMEDOUT',
  'ESOCKET',
  'EDNS',
  'ETLS',
  'EREQUIRETLS',
  'EPROTOCOL',
  'EAUTH',
  'ENOAUTH',
  'EOAUTH2',
  'EPROXY',
  'EMAXLIMIT',
  'ECONFIG',
  'EABORT',
];
/** 503 bad sequence of commands, 530 authentication required: about the session, whichever mail it carries. */
const ABOUT_THE_SESSION = [503, 530];
const MOST_LETTERS = 300;

/** What an error of an attempt means. Pure. @param begun the server had been given some of the message */
export function judge(error: SmtpError, begun: boolean): Outcome {
  const why = (error.response ?? error.message).replace(/\s+/g, ' ').trim().slice(0, MOST_LETTERS);
  const status = error.responseCode;
  const aboutThisMail = (error.code === 'EENVELOPE' || error.code === 'EMESSAGE') && !ABOUT_THE_SESSION.includes(status ?? 0);
  if (aboutThisMail && (status === undefined || status >= 500)) return { is: 'refused', why };
  // Neither an answer nor a fault of the connection: the mail itself could not be put together, and never will be. It was never ended
  // with a dot, so it has not arrived.
  const aboutTheServer = aboutThisMail || status !== undefined || error.syscall !== undefined || NO_SERVER.includes(error.code ?? '');
  if (!aboutTheServer) return { is: 'refused', why };
  // An answer, such as 421 after the last dot, says that the mail was not taken.
  return { is: 'wait', why, code: codeOf(error), unsure: begun && status === undefined, connection: !aboutThisMail && !begun };
}

/** The library's own word (ESOCKET) hides the system's (ECONNREFUSED), which stands in the message. */
function codeOf({ responseCode, message, code }: SmtpError): string {
  return responseCode?.toString() ?? /\bE[A-Z_]{3,}\b/.exec(message)?.[0] ?? code ?? 'unknown';
}
