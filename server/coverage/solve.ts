import { type ChildProcess, fork } from 'node:child_process';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import type { AssignInput } from '../calc/assign.js';
import { checkAssignment } from '../calc/assign-check.js';
import type { Level, Pair } from '../calc/assign-model.js';
import type { Explained } from '../calc/assign-reasons.js';

export interface Task {
  input: AssignInput;
  timeLimitMs: number;
}

/** What the process tells: each time something better than before, `optimal` once it is proven. */
export interface Found extends Explained {
  status: 'optimal' | 'time limit' | 'nothing to do';
  pairs: Pair[];
  /** By level, the least that was proven possible where those before it are as good as can be; a level that is not here was not reached. */
  bound: Partial<Record<Level, number>>;
}

export type Told = Found | { broke: string };

export interface Solved extends Found {
  objective: Record<Level, number>;
  /** From the process's start. */
  seconds: number;
}

/** `broke` is ours, and the log has it; `busy` and `stopping` are to be tried again in a moment. */
export type Solution = Solved | { status: 'failed'; why: 'broke' | 'busy' | 'stopping' };

/** Solves proposals off the event loop. */
export interface AssignmentSolver {
  /** The best assignment, or the best found in the time; never rejects. */
  solve: (input: AssignInput, set: { timeLimitMs: number }) => Promise<Solution>;
  /** Ends what is being solved; whoever waits is told. */
  close: () => Promise<void>;
}

export interface SolverLimits {
  mostWaiting: number;
  /** Of the process's JavaScript; the solver's own memory is beside it. */
  heapMb: number;
  /** After the time limit, for a solver that looks at the clock too seldom. */
  graceMs: number;
  /** Hears of what broke, for the log. */
  onBreak: (error: unknown) => void;
}

const LIMITS: SolverLimits = { mostWaiting: 4, heapMb: 128, graceMs: 10_000, onBreak: () => undefined };

/** A process a task, one at a time, the others in their turn. Not a thread: what a thread took stays with the service, some 45 to 90 MB. */
export function assignmentSolver(set: Partial<SolverLimits> = {}): AssignmentSolver {
  const limits = { ...LIMITS, ...set };
  const waiting: { task: Task; answer: (solution: Solution) => void }[] = [];
  let running: Solving | null = null;
  let isClosed = false;

  function next(): void {
    if (running) return;
    const first = waiting.shift();
    if (!first) return;
    const answer = (solution: Solution) => {
      running = null;
      first.answer(solution);
      next();
    };
    try {
      running = start(first.task, limits);
      void running.ended.then(answer);
    } catch (error) {
      // No process to be had.
      limits.onBreak(error);
      answer(BROKE);
    }
  }

  return {
    solve(input, { timeLimitMs }) {
      if (isClosed) return Promise.resolve({ status: 'failed', why: 'stopping' });
      if (waiting.length >= limits.mostWaiting) return Promise.resolve({ status: 'failed', why: 'busy' });
      return new Promise((answer) => {
        waiting.push({ task: { input, timeLimitMs }, answer });
        next();
      });
    },
    async close() {
      isClosed = true;
      for (const { answer } of waiting.splice(0)) answer({ status: 'failed', why: 'stopping' });
      await running?.stop();
    },
  };
}

interface Solving {
  ended: Promise<Solution>;
  stop: () => Promise<void>;
}

/** Starts a process on a task. What it told last counts, unless it broke. */
function start(task: Task, limits: SolverLimits): Solving {
  const startedAt = performance.now();
  let found: Found | null = null;
  let failed: Solution | null = null;
  let isOver = false;
  const breaks = (error: unknown): Solution => {
    if (!failed) limits.onBreak(error);
    failed ??= BROKE;
    return failed;
  };
  const child = fork(PROCESS, [], {
    // It needs nothing of ours: no key, no mail password.
    env: {},
    execArgv: [...LOADER, `--max-old-space-size=${limits.heapMb}`],
    serialization: 'advanced',
    stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
  });
  const end = () => {
    isOver = true;
    child.kill('SIGKILL');
  };
  const timer = setTimeout(end, task.timeLimitMs + limits.graceMs);
  child.on('message', (told: Told) => {
    if ('broke' in told) breaks(new Error(told.broke));
    else found = told;
  });
  child.send(task, (error) => error && breaks(error));
  const ended = gone(child)
    .then((why) => {
      clearTimeout(timer);
      if (why && !isOver) breaks(why);
      if (failed) return failed;
      if (!found) return breaks(new Error('the process that solves proposals told nothing'));
      return solved(task.input, found, (performance.now() - startedAt) / 1000);
    })
    .catch(breaks);
  const stop = async () => {
    failed ??= { status: 'failed', why: 'stopping' };
    end();
    await ended;
  };
  return { ended, stop };
}

/** When the process is gone: null, or what it went by. */
function gone(child: ChildProcess): Promise<Error | null> {
  return new Promise((resolve) => {
    // A process that can't be started says so, and more than once, and may end without having run.
    child.on('error', resolve);
    child.once('close', (code, signal) =>
      resolve(code === 0 ? null : new Error(`the process that solves proposals ended with ${signal ?? code}`)),
    );
  });
}

/** Goes over the pairs once more. @throws Error where they break a rule: nobody is to see such */
function solved(input: AssignInput, found: Found, seconds: number): Solved {
  const { faults, objective } = checkAssignment(input, found.pairs);
  if (faults.length > 0) throw new Error(`proposals break the rules: ${faults.join('; ')}`);
  return { ...found, objective, seconds };
}

const BROKE: Solution = { status: 'failed', why: 'broke' };

/** The program beside this file: compiled as it is, from source by way of tsx. */
const IS_SOURCE = import.meta.url.endsWith('.ts');
const PROCESS = fileURLToPath(new URL(IS_SOURCE ? './solve-process.ts' : './solve-process.js', import.meta.url));
const LOADER = IS_SOURCE ? ['--import', createRequire(import.meta.url).resolve('tsx')] : [];
