import { type ChildProcess, spawn } from 'node:child_process';
import { join } from 'node:path';
import { ROOT } from '../../server/config.js';

export type Command = 'backup' | 'restore' | 'rotate-keys' | '../main';

export interface Ran {
  code: number | null;
  signal: NodeJS.Signals | null;
  out: string;
  err: string;
}

/** Starts a compiled command as a process of its own, as another user where `uid` names one. Needs `npm run build`. */
export function start(
  command: Command,
  args: string[],
  set: Record<string, string>,
  uid?: number,
): { child: ChildProcess; ended: Promise<Ran> } {
  const file = join(ROOT, `dist/server/cli/${command}.js`);
  const child = spawn(process.execPath, [file, ...args], {
    env: { PATH: process.env.PATH, ...set },
    stdio: ['ignore', 'pipe', 'pipe'],
    ...(uid === undefined ? {} : { uid }),
  });
  let [out, err] = ['', ''];
  child.stdout.on('data', (chunk: Buffer) => {
    out += chunk.toString();
  });
  child.stderr.on('data', (chunk: Buffer) => {
    err += chunk.toString();
  });
  const ended = new Promise<Ran>((resolve) => {
    child.once('close', (code, signal) => resolve({ code, signal, out, err }));
  });
  return { child, ended };
}

/** Runs a command to its end. */
export function run(command: Command, args: string[], set: Record<string, string>): Promise<Ran> {
  return start(command, args, set).ended;
}
