import { fork } from 'node:child_process';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import type { MeasuredRoute } from './measured.js';
import { REFUSED } from './refusals.js';

export type Reading = { route: MeasuredRoute } | { fault: string };

/** A file whole, or in the pieces it came in: put together, a large one would leave holes in the service's memory. */
export type RouteFile = Buffer | readonly Buffer[];

/** Reads leaders' files off the event loop. */
export interface RouteReader {
  /** The route in a file, or the sentence that says why not; never rejects. */
  read: (file: RouteFile) => Promise<Reading>;
  /** Ends what is being read; whoever waits is told. */
  close: () => Promise<void>;
}

export interface ReaderLimits {
  atOnce: number;
  mostWaiting: number;
  /** From the process's start. */
  limitMs: number;
  heapMb: number;
  /** Hears of a process that broke, for the log; the leader gets a sentence. */
  onBreak: (error: unknown) => void;
}

const LIMITS: ReaderLimits = { atOnce: 2, mostWaiting: 8, limitMs: 20_000, heapMb: 160, onBreak: () => undefined };

/**
 * A process a file, two at most at a time, the others in a queue. Not a thread: what a thread took stays with the service, some 30 MB after a
 * large file, and a file that takes too much would take it from the service.
 */
export function routeReader(set: Partial<ReaderLimits> = {}): RouteReader {
  const limits = { ...LIMITS, ...set };
  const running = new Set<Reader>();
  const waiting: { file: RouteFile; answer: (reading: Reading) => void }[] = [];
  let isClosed = false;

  function next(): void {
    if (running.size >= limits.atOnce) return;
    const first = waiting.shift();
    if (!first) return;
    try {
      const reader = start(first.file, limits, (reading) => {
        running.delete(reader);
        first.answer(reading);
        next();
      });
      running.add(reader);
    } catch (error) {
      // No process to be had.
      limits.onBreak(error);
      first.answer({ fault: REFUSED.tooMuch });
      next();
    }
  }

  return {
    read(file) {
      if (isClosed) return Promise.resolve({ fault: REFUSED.stopping });
      if (waiting.length >= limits.mostWaiting) return Promise.resolve({ fault: REFUSED.busy });
      return new Promise((answer) => {
        waiting.push({ file, answer });
        next();
      });
    },
    async close() {
      isClosed = true;
      for (const { answer } of waiting.splice(0)) answer({ fault: REFUSED.stopping });
      await Promise.all([...running].map((reader) => reader.stop()));
    },
  };
}

interface Reader {
  stop: () => Promise<void>;
}

/** Starts a process on a file. `done` is called once, when it has ended. */
function start(file: RouteFile, limits: ReaderLimits, done: (reading: Reading) => void): Reader {
  let reading: Reading | null = null;
  const child = fork(PROCESS, [], {
    // It needs nothing of ours: no key, no mail password.
    env: {},
    execArgv: [...LOADER, `--max-old-space-size=${limits.heapMb}`],
    serialization: 'advanced',
    stdio: ['pipe', 'ignore', 'ignore', 'ipc'],
  });
  const ended = new Promise<void>((resolve) => {
    // A process that can't be started, or breaks off while it is written to, may say so more than once.
    const end = (why: Error) => {
      clearTimeout(timer);
      if (!reading) limits.onBreak(why);
      reading ??= { fault: REFUSED.tooMuch };
      resolve();
    };
    child.on('error', end);
    child.once('close', (code, signal) => end(new Error(`the process that read a route ended with ${signal ?? code}`)));
  }).then(() => done(reading ?? { fault: REFUSED.tooMuch }));
  const stop = (told: Reading) => {
    reading ??= told;
    child.kill('SIGKILL');
    return ended;
  };
  const timer = setTimeout(() => void stop({ fault: REFUSED.tooLong }), limits.limitMs);
  child.once('message', (told: Reading) => void stop(told));
  // A process that ends before it has read all says why by its end.
  child.stdin?.on('error', () => undefined);
  for (const piece of [file].flat()) child.stdin?.write(piece);
  child.stdin?.end();
  return { stop: () => stop({ fault: REFUSED.stopping }) };
}

/** The program beside this file: compiled as it is, from source by way of tsx. */
const IS_SOURCE = import.meta.url.endsWith('.ts');
const PROCESS = fileURLToPath(new URL(IS_SOURCE ? './process.ts' : './process.js', import.meta.url));
const LOADER = IS_SOURCE ? ['--import', createRequire(import.meta.url).resolve('tsx')] : [];
