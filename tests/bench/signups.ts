import { join } from 'node:path';
import { connect } from '../../server/db/open.js';
import { signUpFields } from '../support/sign-up.js';
import type { Running } from './process.js';

const SIGN_UPS = 600;
const AT_ONCE = 10;

let posted = 0;

/** Posts one sign-up of its own address. */
export async function postSignUp(waymeet: Running, walkId: number): Promise<void> {
  posted += 1;
  const name = `Bench Walker ${posted}`;
  const fields = signUpFields({
    name,
    email: `bench-${process.pid}-${posted}@walkers.example`,
    'members[0][name]': name,
    'members[0][signature]': name,
  });
  const answer = await fetch(`${waymeet.url}/walks/${walkId}/sign-up`, {
    method: 'POST',
    headers: { origin: waymeet.url, 'content-type': 'application/x-www-form-urlencoded' },
    body: new URLSearchParams(fields).toString(),
    redirect: 'manual',
  });
  await answer.arrayBuffer();
  if (answer.status !== 303) throw new Error(`a sign-up was answered ${answer.status}`);
}

/** Accepted sign-ups a second, next to one bare durable commit after another on the same disk. */
export async function signUpRatio(waymeet: Running, walkId: number, folder: string): Promise<number> {
  const ratios: number[] = [];
  for (let round = 0; round < 3; round += 1) {
    const commits = bareCommits(folder);
    const began = performance.now();
    await Promise.all(
      Array.from({ length: AT_ONCE }, async () => {
        for (let turn = 0; turn < SIGN_UPS / AT_ONCE; turn += 1) await postSignUp(waymeet, walkId);
      }),
    );
    ratios.push(SIGN_UPS / ((performance.now() - began) / 1000) / commits);
  }
  return ratios.sort((a, b) => a - b)[1] ?? 0;
}

/** Durable commits a second of one row each, by better-sqlite3 alone. */
function bareCommits(folder: string): number {
  const raw = connect(join(folder, `bare-${performance.now()}.db`));
  raw.exec('CREATE TABLE rows (id INTEGER PRIMARY KEY, word TEXT) STRICT');
  const insert = raw.prepare("INSERT INTO rows (word) VALUES ('a row')");
  const began = performance.now();
  for (let turn = 0; turn < SIGN_UPS; turn += 1) insert.run();
  const commits = SIGN_UPS / ((performance.now() - began) / 1000);
  raw.close();
  return commits;
}
