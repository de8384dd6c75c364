import { timingSafeEqual } from 'node:crypto';
import type { Services } from '../services.js';
import { isInstalled } from '../settings/store.js';
import { plainCode, readableCode, spacedCode } from './code.js';

const CODE_LENGTH = 12;
const MOST_WRONG = 10;

/** The code in force for each running service: in memory only, so that a new start makes a new one. */
const codes = new WeakMap<Services, { code: string; wrong: number }>();

/** The one-time code that whoever reads the log proves themself with on the first-run page. */
export function firstRunCode(services: Services): string {
  return kept(services).code;
}

/** At the start of a service that has no group: says where to make one, and the code for it. */
export function announceFirstRun(services: Services): void {
  if (!isInstalled(services.settings())) print(services);
}

/** A warning, so that a log kept to what matters still shows it. */
function print(services: Services): void {
  services.log.warn(
    `No group has been set up yet. Open ${services.config.baseUrl}/first-run and type this code: ${spacedCode(firstRunCode(services))}`,
  );
}

/** Whether this is the code; the tenth wrong one makes a new code and prints it. */
export function tryFirstRunCode(services: Services, typed: string): boolean {
  const current = kept(services);
  if (equal(plainCode(typed), current.code)) return true;
  current.wrong += 1;
  if (current.wrong >= MOST_WRONG) {
    codes.delete(services);
    print(services);
  }
  return false;
}

function kept(services: Services): { code: string; wrong: number } {
  const current = codes.get(services) ?? { code: readableCode(services.secret(), CODE_LENGTH), wrong: 0 };
  codes.set(services, current);
  return current;
}

function equal(a: string, b: string): boolean {
  const left = Buffer.from(a);
  const right = Buffer.from(b);
  return left.length === right.length && timingSafeEqual(left, right);
}
