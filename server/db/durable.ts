import {
  chmodSync,
  chownSync,
  closeSync,
  constants,
  copyFileSync,
  fsyncSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';

/** Waits until what was written to a file, or which names are in a folder, is on the disk. */
export function sync(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Whether there is such a file or folder. existsSync says no, too, where this user may not look. @throws EACCES there */
export function isThere(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false }) !== undefined;
}

/** Moves a file that is complete to its name, in place of what had it: after a power cut it is the one or the other, whole. */
export function putInPlace(made: string, file: string): void {
  sync(made);
  renameSync(made, file);
  sync(dirname(file));
}

/** Writes a secret file whole or not at all, for its owner alone to read. */
export function writeWhole(file: string, text: string): void {
  const making = `${file}.making`;
  rmSync(making, { force: true });
  writeFileSync(making, text, { mode: 0o600, flag: 'wx' });
  belongToFolder(making);
  putInPlace(making, file);
}

/** Copies a file whole or not at all, for its owner alone to read. */
export function copyWhole(from: string, to: string): void {
  const making = `${to}.making`;
  rmSync(making, { force: true });
  copyFileSync(from, making, constants.COPYFILE_FICLONE);
  chmodSync(making, 0o600);
  belongToFolder(making);
  putInPlace(making, to);
}

/** What root makes in the service's folder belongs to whom the folder belongs, or the service could not open it. */
export function belongToFolder(file: string): void {
  if (process.getuid?.() !== 0) return;
  const { uid, gid } = statSync(dirname(file));
  chownSync(file, uid, gid);
}
