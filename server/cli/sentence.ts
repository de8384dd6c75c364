import { dirname, sep } from 'node:path';
import Database from 'better-sqlite3';

type SqliteFault = InstanceType<typeof Database.SqliteError>;

/** What Node says of a call to the system that went wrong. */
interface SystemFault extends Error {
  code: string;
  syscall: string;
  path?: string;
  dest?: string;
  address?: string;
  port?: number;
}

/**
 * What went wrong, as a sentence for the operator: what Node and SQLite say of themselves names no remedy.
 * @param dataDir full path; undefined where the settings could not be read
 */
export function sentenceOf(error: unknown, dataDir: string | undefined): string {
  if (error instanceof Database.SqliteError) return ofDatabase(error, dataDir ?? 'DATA_DIR');
  if (!isSystemFault(error)) return error instanceof Error ? error.message : String(error);
  return (error.syscall === 'listen' || error.syscall === 'getaddrinfo' ? ofPort(error) : ofFile(error, dataDir)) ?? error.message;
}

function isSystemFault(error: unknown): error is SystemFault {
  return error instanceof Error && 'code' in error && 'syscall' in error && typeof error.syscall === 'string';
}

function ofDatabase(error: SqliteFault, dataDir: string): string {
  const { code, message } = error;
  const is = (...codes: string[]) => codes.some((one) => code.startsWith(one));
  if (is('SQLITE_CORRUPT', 'SQLITE_NOTADB'))
    return `The database in ${dataDir} is damaged (${message}): stop the service and put your newest backup back with npm run restore -- FILE.`;
  if (is('SQLITE_CANTOPEN', 'SQLITE_READONLY', 'SQLITE_PERM', 'SQLITE_AUTH')) return mayNot(`What is in ${dataDir}`);
  if (is('SQLITE_FULL')) return full(dataDir);
  if (is('SQLITE_IOERR')) return `The disk of ${dataDir} does not read or write as it should (${code}): look at it, and keep your backups.`;
  if (is('SQLITE_BUSY', 'SQLITE_LOCKED')) return `The database in ${dataDir} is in use: wait a little, and try again.`;
  return message;
}

function ofPort({ code, address, port }: SystemFault): string | undefined {
  if (code === 'EADDRINUSE') return `Port ${port} is taken: stop what listens there, or set PORT to another.`;
  if (code === 'EACCES') return `This user may not listen on port ${port}: set PORT to 1024 or more.`;
  if (code === 'EADDRNOTAVAIL') return `${address} is no address of this machine: set HOST to one that is.`;
  if (code === 'ENOTFOUND' || code === 'EAI_AGAIN') return 'HOST is no address of this machine: set it to one that is.';
  return undefined;
}

function ofFile({ code, path, dest }: SystemFault, dataDir: string | undefined): string | undefined {
  const file = dest ?? path;
  const which = file ?? dataDir ?? 'a file';
  const isOurs = dataDir !== undefined && (file === undefined || file === dataDir || file.startsWith(dataDir + sep));
  if (code === 'EACCES' || code === 'EPERM')
    return isOurs ? mayNot(which) : `This user may not read or write ${which}: change whose it is, or choose another place.`;
  if (code === 'EROFS') return `${which} can't be written: its disk is for reading only.`;
  if (code === 'ENOSPC' || code === 'EDQUOT') return full(file === undefined ? which : dirname(file));
  if (code === 'EISDIR') return `${which} is a folder, not a file: choose another name.`;
  if (code === 'ENOTDIR' || code === 'EEXIST')
    return `${which} lies under a file, or is one, where a folder is needed: choose another name.`;
  return undefined;
}

function mayNot(which: string): string {
  return `${which} can't be read or written by this user: run it as the user that the service runs as, and see that it belongs to that user.`;
}

function full(folder: string): string {
  return `The disk of ${folder} is full: make room there, and try again.`;
}
