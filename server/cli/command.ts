import { readConfig } from '../config.js';

export function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

/** Runs what the operator typed. What goes wrong is a sentence for them, on the error output, and the process ends with 1. */
export function command(failed: string, run: (config: ReturnType<typeof readConfig>) => void): void {
  // What is written is nobody else's to read.
  process.umask(0o077);
  try {
    run(readConfig(process.env));
  } catch (error) {
    process.stderr.write(`${failed} ${error instanceof Error ? error.message : String(error)}\n`);
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
