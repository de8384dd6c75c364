import type { Socket } from 'node:net';
import { type ParsedMail, simpleParser } from 'mailparser';
import { SMTPServer } from 'smtp-server';

/** The steps of a conversation at which the sink can be told to misbehave; `end` is after the message's last dot. */
export type Step = 'greeting' | 'mail' | 'rcpt' | 'data' | 'end';

/**
 * What the sink does at a step: answers with a code, never answers, drops the connection, or (at `end`) takes the mail and drops the
 * connection once the 250 is out, or without ever saying so (`swallow`).
 */
export type Misbehaviour = number | 'hang' | 'drop' | 'drop after' | 'swallow';

export interface ReceivedMail {
  from: string;
  to: string[];
  raw: string;
}

export interface MailSink {
  url: string;
  /** Every mail taken: the 250 was decided, or the mail was kept without one (`swallow`). */
  mails: ReceivedMail[];
  /** How many conversations were begun. */
  connections: () => number;
  /** The next times `step` is reached, the sink does these, one a time; then it behaves. */
  script: (step: Step, ...acts: Misbehaviour[]) => void;
  /** Called as each step is reached, before it is answered. */
  watch: (seen: (step: Step | 'answered') => void) => void;
  close: () => Promise<void>;
}

/** A mail server on loopback that takes everything, unless it is told otherwise. */
export async function openMailSink(): Promise<MailSink> {
  const mails: ReceivedMail[] = [];
  const script = new Map<Step, Misbehaviour[]>();
  const sockets = new Map<number, Socket>();
  let connections = 0;
  let seen: (step: Step | 'answered') => void = () => {};

  interface Talk {
    remotePort: number;
    envelope?: { mailFrom: false | { address: string }; rcptTo: { address: string }[] };
  }

  function at(step: Step, talk: Talk, answer: (error?: Error) => void, take: () => void = () => {}): void {
    seen(step);
    const act = script.get(step)?.shift();
    const socket = sockets.get(talk.remotePort);
    if (act === 'hang') return;
    if (act === 'swallow') take();
    if (act === 'drop' || act === 'swallow') {
      socket?.destroy();
      return;
    }
    if (typeof act === 'number') {
      answer(Object.assign(new Error('as scripted'), { responseCode: act }));
      return;
    }
    take();
    answer();
    setImmediate(() => seen('answered'));
    if (act === 'drop after') setTimeout(() => socket?.destroy(), 5);
  }

  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS'],
    disableReverseLookup: true,
    logger: false,
    closeTimeout: 10,
    onConnect: (session, done) => at('greeting', session as Talk, done),
    onMailFrom: (_address, session, done) => at('mail', session as Talk, done),
    onRcptTo: (_address, session, done) => at('rcpt', session as Talk, done),
    onData(stream, session, done) {
      const talk = session as Talk;
      const chunks: Buffer[] = [];
      const { mailFrom, rcptTo } = talk.envelope ?? { mailFrom: false, rcptTo: [] };
      const mail = () => ({
        from: mailFrom === false ? '' : mailFrom.address,
        to: rcptTo.map((one) => one.address),
        raw: Buffer.concat(chunks).toString('utf8'),
      });
      seen('data');
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => at('end', talk, done, () => mails.push(mail())));
    },
  });
  server.on('error', () => {
    // A client killed in the middle of a sentence is what these tests are about.
  });
  server.server.on('connection', (socket: Socket) => {
    connections += 1;
    if (socket.remotePort) sockets.set(socket.remotePort, socket);
  });
  await new Promise<void>((resolve) => {
    server.listen(0, '127.0.0.1', resolve);
  });
  const address = server.server.address();
  const port = typeof address === 'object' && address ? address.port : 0;
  return {
    url: `smtp://127.0.0.1:${port}`,
    mails,
    connections: () => connections,
    script: (step, ...acts) => script.set(step, [...(script.get(step) ?? []), ...acts]),
    watch: (watcher) => {
      seen = watcher;
    },
    close: () =>
      new Promise((resolve) => {
        for (const socket of sockets.values()) socket.destroy();
        server.close(() => resolve());
      }),
  };
}

export function parsed(mail: ReceivedMail | undefined): Promise<ParsedMail> {
  if (!mail) throw new Error('no mail arrived');
  return simpleParser(mail.raw);
}

/** The calendar part of a mail, or empty. */
export function calendarOf(mail: ParsedMail): string {
  return mail.attachments.find((part) => part.contentType === 'text/calendar')?.content.toString('utf8') ?? '';
}
