import { Worker, type WorkerOptions } from 'node:worker_threads';
import type { MeasuredRoute } from './measured.js';
import { REFUSED } from './refusals.js';

export type Reading = { route: MeasuredRoute } | { fault: string };

/** Reads leaders' files off the event loop. */
export interface RouteReader {
  /** The route in a file, or the sentence that says why not; never rejects. The bytes go to another thread and are gone from the caller's buffer. */
  read: (bytes: Buffer) => Promise<Reading>;
  /** Ends what is being read; whoever waits is told. */
  close: () => Promise<void>;
}

export interface ReaderLimits {
  atOnce: number;
  mostWaiting: number;
  /** From the thread's start. */
  limitMs: number;
  heapMb: number;
  /** Hears of a thread that broke, for the log; the leader gets a sentence. */
  onBreak: (error: unknown) => void;
}

const LIMITS: ReaderLimits = { atOnce: 2, mostWaiting: 8, limitMs: 20_000, heapMb: 160, onBreak: () => undefined };

/** A thread a file, two at most at a time, the others in a queue. */
export function routeReader(set: Partial<ReaderLimits> = {}): RouteReader {
  const limits = { ...LIMITS, ...set };
  const running = new Set<Reader>();
  const waiting: { bytes: Buffer; answer: (reading: Reading) => void }[] = [];
  let isClosed = false;

  function next(): void {
    if (running.size >= limits.atOnce) return;
    const file = waiting.shift();
    if (!file) return;
    try {
      const reader = start(file.bytes, limits, (reading) => {
        running.delete(reader);
        file.answer(reading);
        next();
      });
      running.add(reader);
    } catch (error) {
      // No thread to be had.
      limits.onBreak(error);
      file.answer({ fault: REFUSED.tooMuch });
      next();
    }
  }

  return {
    read(bytes) {
      if (isClosed) return Promise.resolve({ fault: REFUSED.stopping });
      if (waiting.length >= limits.mostWaiting) return Promise.resolve({ fault: REFUSED.busy });
      return new Promise((answer) => {
        waiting.push({ bytes, answer });
        next();
      });
    },
    async close() {
      isClosed = true;
      for (const file of waiting.splice(0)) file.answer({ fault: REFUSED.stopping });
      await Promise.all([...running].map((reader) => reader.stop()));
    },
  };
}

interface Reader {
  stop: () => Promise<void>;
}

/** Starts a thread on a file. `done` is called once, when the thread has ended and its memory is free. */
function start(bytes: Buffer, limits: ReaderLimits, done: (reading: Reading) => void): Reader {
  let reading: Reading | null = null;
  const worker = new Worker(...threadFor(bytes, limits.heapMb));
  const end = (told: Reading) => {
    reading ??= told;
    return worker.terminate();
  };
  const timer = setTimeout(() => void end({ fault: REFUSED.tooLong }), limits.limitMs);
  worker.on('message', (told: Reading) => void end(told));
  worker.on('error', (error) => {
    reading ??= { fault: REFUSED.tooMuch };
    limits.onBreak(error);
  });
  worker.on('exit', () => {
    clearTimeout(timer);
    done(reading ?? { fault: REFUSED.tooMuch });
  });
  return {
    async stop() {
      await end({ fault: REFUSED.stopping });
    },
  };
}

/** The worker beside this file: compiled as it is, from source by way of tsx, which a thread's own start does not know. */
function threadFor(bytes: Buffer, heapMb: number): [URL | string, WorkerOptions] {
  const isSource = import.meta.url.endsWith('.ts');
  const own = ownBytes(bytes);
  return [
    isSource ? FROM_SOURCE : new URL('./worker.js', import.meta.url),
    {
      eval: isSource,
      workerData: own,
      transferList: [own.buffer],
      execArgv: [],
      resourceLimits: { maxOldGenerationSizeMb: heapMb, maxYoungGenerationSizeMb: 32 },
    },
  ];
}

const FROM_SOURCE = `import('tsx/esm/api').then(({ tsImport }) => tsImport('./worker.ts', ${JSON.stringify(import.meta.url)}))`;

/** Bytes that have their memory to themselves, so that it can be handed over: small buffers share Node's pool. */
function ownBytes(bytes: Buffer): Uint8Array<ArrayBuffer> {
  const { buffer } = bytes;
  const isAlone = buffer instanceof ArrayBuffer && bytes.byteLength === buffer.byteLength && bytes.byteLength >= Buffer.poolSize;
  return isAlone ? new Uint8Array(buffer) : new Uint8Array(bytes);
}
