import type { SentRoll } from '../contract.js';
import { type Outcome, readAnswer } from './answer.js';

const SLOWEST_MS = 20_000;

/** Sends what waits, or only asks where nothing does. A form token that is out of date is asked for anew, once. */
export async function exchange(walk: number, sent: SentRoll): Promise<Outcome> {
  const nothing = sent.entries.length === 0 && sent.people.length === 0;
  if (nothing) return ask(walk);
  const outcome = await send(walk, sent);
  if (outcome.kind !== 'not yours') return outcome;
  const fresh = await ask(walk);
  return fresh.kind === 'heard' ? send(walk, { ...sent, csrf: fresh.state.csrf }) : fresh;
}

/** Asks what others said. */
export function ask(walk: number): Promise<Outcome> {
  return call(walk, { headers: { Accept: 'application/json' } });
}

function send(walk: number, sent: SentRoll): Promise<Outcome> {
  const headers = { 'Content-Type': 'application/json', Accept: 'application/json' };
  return call(walk, { method: 'POST', headers, body: JSON.stringify(sent) });
}

async function call(walk: number, how: RequestInit): Promise<Outcome> {
  const giveUp = new AbortController();
  const timer = setTimeout(() => giveUp.abort(), SLOWEST_MS);
  try {
    const answer = await fetch(`/lead/walks/${walk}/roll`, { ...how, signal: giveUp.signal, cache: 'no-store' });
    return await readAnswer(answer);
  } catch {
    return { kind: 'no signal' }; // no network, or an answer cut off
  } finally {
    clearTimeout(timer);
  }
}
