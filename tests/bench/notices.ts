import { simpleParser } from 'mailparser';
import { createTransport } from 'nodemailer';
import { SMTPServer } from 'smtp-server';

/** A mail server that takes everything and counts it. */
export interface Sink {
  url: string;
  count: () => number;
  /** Bytes of the last mail: what plain nodemailer is given to send. */
  lastMail: () => string;
  close: () => Promise<void>;
}

export async function openSink(): Promise<Sink> {
  let count = 0;
  let lastMail = '';
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS'],
    logger: false,
    onData(stream, _session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => {
        count += 1;
        lastMail = Buffer.concat(chunks).toString('utf8');
        done();
      });
    },
  });
  await new Promise<void>((resolve) => {
    server.listen(0, '127.0.0.1', resolve);
  });
  const address = server.server.address();
  const port = typeof address === 'object' && address ? address.port : 0;
  return {
    url: `smtp://127.0.0.1:${port}`,
    count: () => count,
    lastMail: () => lastMail,
    close: () => new Promise((resolve) => server.close(resolve)),
  };
}

/** Mails a second that plain nodemailer makes and sends, one after another over one connection: the same parts as `source`, and nothing else. */
export async function plainMails(sink: Sink, source: string, mails: number): Promise<number> {
  const { text = '', html, attachments, subject = '' } = await simpleParser(source);
  const content = attachments.find((part) => part.contentType === 'text/calendar')?.content.toString('utf8');
  const message = {
    from: { name: 'Harrow Fells Walkers', address: 'walks@walkers.example' },
    to: { name: 'Ana Ferreira', address: 'ana@walkers.example' },
    subject,
    text,
    html: html || '',
    ...(content ? { icalEvent: { method: 'REQUEST', content } } : {}),
  };
  const transport = createTransport({ url: sink.url, pool: true, maxConnections: 1, maxMessages: Number.POSITIVE_INFINITY });
  const began = performance.now();
  for (let turn = 0; turn < mails; turn += 1) await transport.sendMail(message);
  const rate = mails / ((performance.now() - began) / 1000);
  transport.close();
  return rate;
}

/** Mails a second that arrive from when `start` caused `mails` of them. */
export async function arrivals(sink: Sink, mails: number, start: () => Promise<void>): Promise<number> {
  const before = sink.count();
  await start();
  const began = performance.now();
  while (sink.count() - before < mails) {
    if (performance.now() - began > 120_000) throw new Error(`only ${sink.count() - before} of ${mails} mails arrived`);
    await new Promise((wait) => setTimeout(wait, 5));
  }
  return mails / ((performance.now() - began) / 1000);
}
