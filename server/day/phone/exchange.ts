import type { Refused, RollState, SentRoll } from '../contract.js';

/** What came of sending. */
export type Outcome =
  | { kind: 'heard'; state: RollState; refused: Refused[] }
  | { kind: 'signed out' }
  | { kind: 'not yours' }
  /** Nothing came back, or nothing that the service itself says: another try may do. */
  | { kind: 'no signal' };

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

function ask(walk: number): Promise<Outcome> {
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
    return await read(answer);
  } catch {
    return { kind: 'no signal' }; // no network, or an answer cut off
  } finally {
    clearTimeout(timer);
  }
}

async function read(answer: Response): Promise<Outcome> {
  // Who is not signed in is led to the sign-in page.
  if (answer.status === 401 || (answer.redirected && new URL(answer.url).pathname.startsWith('/sign-in'))) return { kind: 'signed out' };
  if (answer.status === 403 || answer.status === 404) return { kind: 'not yours' };
  if (!answer.headers.get('Content-Type')?.startsWith('application/json')) return { kind: 'no signal' };
  // Some can't be taken; the walk is closed: either way the whole roll comes with it.
  if (answer.status === 422 || answer.status === 409)
    return { kind: 'heard', ...((await answer.json()) as { state: RollState; refused: Refused[] }) };
  if (!answer.ok) return { kind: 'no signal' };
  return { kind: 'heard', state: (await answer.json()) as RollState, refused: [] };
}
