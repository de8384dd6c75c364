import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { simpleParser } from 'mailparser';
import { SMTPServer } from 'smtp-server';

/**
 * A mail server for trying Waymeet out: takes every mail, sends none on, prints it and keeps it as an .eml file.
 * `tsx tests/support/mail-catcher.ts PORT FOLDER [HOST]`; HOST is loopback where it is left out.
 */
const [port = '1025', folder = 'mail', host = '127.0.0.1'] = process.argv.slice(2);
let count = 0;

async function keep(raw: Buffer): Promise<void> {
  count += 1;
  const file = join(folder, `${String(count).padStart(4, '0')}.eml`);
  writeFileSync(file, raw);
  const mail = await simpleParser(raw);
  const to = [mail.to ?? []].flat().map((one) => one.text);
  const parts = mail.attachments.map((part) => part.filename ?? part.contentType);
  const heads = [`To: ${to.join(', ')}`, `Subject: ${mail.subject ?? ''}`, `Attached: ${parts.join(', ') || 'nothing'}`, `Kept: ${file}`];
  process.stdout.write(`${'-'.repeat(72)}\n${heads.join('\n')}\n\n${mail.text ?? ''}\n`);
}

const server = new SMTPServer({
  authOptional: true,
  disabledCommands: ['STARTTLS'],
  disableReverseLookup: true,
  onData(stream, _session, done) {
    const chunks: Buffer[] = [];
    stream.on('data', (chunk: Buffer) => chunks.push(chunk));
    stream.on('end', () => {
      keep(Buffer.concat(chunks)).then(() => done(), done);
    });
  },
});
server.on('error', (error) => process.stderr.write(`${error.message}\n`));
mkdirSync(folder, { recursive: true });
server.listen(Number(port), host, () => process.stdout.write(`Mail for smtp://${host}:${port} is kept in ${folder}\n`));
for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => server.close(() => process.exit(0)));
