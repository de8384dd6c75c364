import { type Config, readConfig } from '../config.js';
import { sentenceOf } from './sentence.js';

export function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

/** Whoever reads what is said may stop early, such as head: that is no fault, and what was begun goes on to its end. */
export function letReaderLeave(): void {
  for (const stream of [process.stdout, process.stderr])
    stream.on('error', (error: NodeJS.ErrnoException) => {
      if (error.code !== 'EPIPE') throw error;
    });
}

/** Runs what the operator typed. What goes wrong is a sentence for them, on the error output, and the process ends with 1. */
export function command(failed: string, run: (config: Config) => void): void {
  letReaderLeave();
  // What is written is nobody else's to read.
  process.umask(0o077);
  let config: Config | undefined;
  try {
    config = readConfig(process.env);
    run(config);
  } catch (error) {
    process.stderr.write(`${failed} ${sentenceOf(error, config?.dataDir)}\n`);
    process.exitCode = 1;
  }
}

/** The one file that was named. @throws a sentence that shows how */
export function fileNamed(script: string, example: string): string {
  const [file, ...more] = process.argv.slice(2);
  if (file === undefined || file === '' || file.startsWith('-') || more.length > 0)
    throw new Error(`Name one file: npm run ${script} -- ${example}`);
  return file;
}

/** No words after the command. @throws a sentence */
export function nothingNamed(script: string): void {
  if (process.argv.length > 2) throw new Error(`It takes nothing more: npm run ${script}`);
}

export function counted(count: number, word: string): string {
  return `${count} ${word}${count === 1 ? '' : 's'}`;
}

export function megabytes(bytes: number): string {
  return `${(bytes / 1e6).toFixed(1)} MB`;
}
