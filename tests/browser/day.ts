import type { Page } from 'playwright-core';
import { wallOf } from '../../server/calc/zone.js';
import { keepSignUp } from '../../server/signups/store.js';
import { member, signUpForm } from '../support/sign-up.js';
import type { DemoSite } from './demo-site.js';
import { follow } from './leading.js';

const MINUTE_MS = 60_000;
const WALKER = { name: 'Teddy Okonjo', email: 'walker@waymeet.example' };
/** Who comes without having signed up. */
export const STRANGER = 'Maud Inskip';

/** A walk of the demo's leader whose roll is open, with the demo's walker on it, and what becomes of some of its people. */
export interface Day {
  walk: number;
  zone: string;
  /** Everyone on the roll before somebody turns up. */
  names: string[];
  absent: string;
  lost: string;
  leaver: string;
  back: string;
}

/** Its next walk whose roll is open. */
export function openWalk(demo: DemoSite): number {
  return demo.db.raw
    .prepare(
      `SELECT w.id FROM walks w JOIN walk_leaders l ON l.walk_id = w.id JOIN people p ON p.id = l.person_id
       WHERE p.email = 'leader@waymeet.example' AND w.state = 'posted' AND w.gather_at < ? ORDER BY w.gather_at DESC LIMIT 1`,
    )
    .pluck()
    .get(Date.now() + 86_400_000) as number;
}

/** Has people gather for that walk now, the demo's walker among them, and says who of the others does what. */
export function layDay(demo: DemoSite): Day {
  const walk = openWalk(demo);
  const { raw } = demo.db;
  const zone = gatherNow(demo, walk);
  const members = `FROM party_members m JOIN sign_ups s ON s.id = m.sign_up_id
    WHERE s.walk_id = ${walk} AND s.state = 'confirmed' AND m.removed_at IS NULL`;
  if (raw.prepare(`SELECT count(*) ${members} AND s.email = ?`).pluck().get(WALKER.email) === 0) {
    raw.prepare('UPDATE walks SET capacity = capacity + 1 WHERE id = ?').run(walk);
    const form = signUpForm({ ...WALKER, members: [member({ name: WALKER.name })] });
    demo.db.write((tx) => void keepSignUp(tx, demo.services, walk, form));
  }
  const names = raw.prepare(`SELECT m.name ${members} ORDER BY m.id`).pluck().all() as string[];
  const alone = raw
    .prepare(`SELECT m.name ${members} AND s.party_size = 1 AND s.email <> ? ORDER BY m.id`)
    .pluck()
    .all(WALKER.email) as string[];
  const [absent, lost, leaver, back] = alone;
  if (!absent || !lost || !leaver || !back) throw new Error('too few walk by themselves');
  return { walk, zone, names, absent, lost, leaver, back };
}

/** Moves it to now, by its own clock. Gives its zone. */
function gatherNow({ db: { raw } }: DemoSite, walk: number): string {
  const zone = raw.prepare('SELECT zone FROM walks WHERE id = ?').pluck().get(walk) as string;
  const setOffAt = Math.floor(Date.now() / MINUTE_MS) * MINUTE_MS;
  const gatherAt = setOffAt - 15 * MINUTE_MS;
  const [gather, setOff] = [wallOf(gatherAt, zone), wallOf(setOffAt, zone)];
  raw
    .prepare('UPDATE walks SET gather_at = ?, set_off_at = ?, wall_date = ?, wall_time = ?, wall_set_off = ? WHERE id = ?')
    .run(gatherAt, setOffAt, gather.date, gather.time, setOff.time, walk);
  return zone;
}

/** Who holds what: the leader's phone with its script or without, the coordinator, the walker; each step is shown to `seen`. */
export interface Hands {
  leader: Page;
  coordinator: Page;
  walker: Page;
  script: boolean;
  seen: (step: string, page: Page) => Promise<void>;
}

/** A walk's whole day as its leader keeps it: from the day pack to the closing, and what the coordinator and the walker see of it then. */
export async function fromGatheringToClosing(day: Day, hands: Hands): Promise<void> {
  await makePack(day, hands);
  await gather(day, hands);
  await turnUp(day, hands);
  await setOff(day, hands);
  await countAtStopOne(day, hands);
  await leaveEarly(day, hands);
  await callForHelp(day, hands);
  await finish(day, hands);
  await close(day, hands);
  await afterwards(hands);
}

/** Presses a button of the roll: with script the page stays, without it the next one comes. */
async function press(page: Page, script: boolean, name: string | RegExp): Promise<void> {
  // What is hidden from eyes stands a space away from what is not.
  const button = page.getByRole('button', { name: typeof name === 'string' ? new RegExp(`^${name.replace(':', ' ?:')}$`) : name });
  if (!script) return follow(page, button);
  await button.click();
}

/** Everything tapped is on the service: with script it goes in its own time. */
async function sent(page: Page, script: boolean): Promise<void> {
  if (script)
    await page
      .locator('.roll-sent b')
      .filter({ hasText: /^All sent/ })
      .waitFor();
}

async function openRoll({ walk }: Day, { leader, script }: Hands): Promise<void> {
  await leader.goto(`/lead/walks/${walk}/roll`);
  if (script) await leader.locator('.roll-live').waitFor();
}

async function makePack({ walk }: Day, { leader, seen }: Hands): Promise<void> {
  await leader.goto(`/lead/walks/${walk}`);
  await seen('walk of today', leader);
  await follow(leader, leader.getByRole('link', { name: 'Day pack', exact: true }));
  await follow(leader, leader.getByRole('button', { name: 'Make it with emergency contacts' }));
  await seen('day pack', leader);
}

async function gather(day: Day, hands: Hands): Promise<void> {
  const { leader, script, seen } = hands;
  await openRoll(day, hands);
  await seen('roll opened', leader);
  const come = day.names.filter((name) => name !== day.absent);
  for (const [index, name] of come.entries()) {
    await press(leader, script, `Arrived: ${name}`);
    if (index === 2) await seen('arriving', leader);
  }
  if (script) await leader.getByRole('button', { name: `More: ${day.absent}`, exact: true }).click();
  await press(leader, script, `Not walking: ${day.absent}`);
  await sent(leader, script);
}

/** Someone comes who never signed up: contact and waiver on the leader's screen. */
async function turnUp(day: Day, hands: Hands): Promise<void> {
  const { leader, seen } = hands;
  await leader.goto(`/lead/walks/${day.walk}/roll/turned-up`);
  const fields = {
    name: STRANGER,
    phone: '(202) 555-0141',
    contactName: 'Abel Inskip',
    contactRelation: 'husband',
    contactPhone: '(202) 555-0142',
    note: 'Allergic to bee stings, carries a pen.',
    email: 'maud@walkers.example',
  };
  for (const [field, value] of Object.entries(fields)) await leader.fill(`#${field}`, value);
  await leader.check('#agreeRules');
  await leader.locator('input[name="way"][value="screen"]').check();
  await leader.fill('#signature', STRANGER);
  await leader.check('#agreeWaiver');
  await seen('someone turned up', leader);
  await follow(leader, leader.locator('button.do'));
}

async function setOff(day: Day, hands: Hands): Promise<void> {
  const { leader, script, seen } = hands;
  await openRoll(day, hands);
  await press(leader, script, 'Everyone who arrived sets off');
  await seen('no back marker yet', leader);
  await leader.selectOption('#back', { label: day.back });
  await press(leader, script, 'Everyone who arrived sets off');
  await seen('set off', leader);
}

/** All are counted but one, who comes at last. */
async function countAtStopOne(day: Day, hands: Hands): Promise<void> {
  const { leader, script, seen } = hands;
  await press(leader, script, /^We are at stop 1/);
  for (const name of [...day.names, STRANGER]) {
    if (name !== day.absent && name !== day.lost) await press(leader, script, `Here: ${name}`);
  }
  await seen('one missing', leader);
  await sent(leader, script);
  if (script) await leader.getByRole('button', { name: `More: ${day.lost}`, exact: true }).click();
  await follow(leader, leader.getByRole('link', { name: script ? 'Whom to ring, and what was said' : day.lost }).first());
  await seen('whom to ring', leader);
  await openRoll(day, hands);
  await press(leader, script, `Here: ${day.lost}`);
}

async function leaveEarly(day: Day, hands: Hands): Promise<void> {
  const { leader, script, seen } = hands;
  if (script) {
    const row = leader.locator('.roll-row').filter({ hasText: day.leaver });
    await row.getByRole('button', { name: `More: ${day.leaver}`, exact: true }).click();
    await row.getByText('Leaves early').click();
    await row.getByLabel('Who was told').selectOption('leader');
    await row.getByLabel('How they get home').selectOption('driven');
    await seen('leaving early', leader);
    await press(leader, script, `Left early: ${day.leaver}`);
    await sent(leader, script);
  } else {
    await follow(leader, leader.getByRole('link', { name: day.leaver, exact: true }));
    await leader.selectOption('#told', 'leader');
    await leader.selectOption('#home', 'driven');
    await seen('leaving early', leader);
    await press(leader, script, `${day.leaver} left early`);
  }
}

/** Somebody falls: the emergency page, their contact opened, and what happened written down. */
async function callForHelp(day: Day, hands: Hands): Promise<void> {
  const { leader, seen } = hands;
  await leader.goto(`/lead/walks/${day.walk}/roll/help`);
  await seen('emergency', leader);
  await follow(leader, leader.locator('#who').getByRole('link', { name: day.lost }));
  await follow(leader, leader.getByRole('button', { name: `Open the emergency contact of ${day.lost}` }));
  await seen('emergency contact', leader);
  await follow(leader, leader.getByRole('link', { name: 'Write down what happened' }));
  await leader.selectOption('#kind', { index: 1 });
  await leader.selectOption('#who', { label: day.lost });
  await leader.selectOption('#where', { index: 1 });
  await leader.fill('#time', wallOf(Date.now(), day.zone).time);
  await leader.fill('#what', 'Slipped on wet leaves by the pond and fell on the right wrist. Swollen, can move the fingers.');
  await leader.fill('#done', 'Sat down, cold cloth, sling. Walked on slowly beside the back marker.');
  await leader.locator('#called input').last().check();
  await leader.check('#needsMore');
  await seen('incident', leader);
  await follow(leader, leader.getByRole('button', { name: 'Write it down' }));
}

async function finish(day: Day, hands: Hands): Promise<void> {
  const { leader, script, seen } = hands;
  await openRoll(day, hands);
  await press(leader, script, /^We are at stop 2/);
  const back = [...day.names, STRANGER].filter((name) => name !== day.absent && name !== day.leaver);
  await countHeads(leader, script, back.length);
  await press(leader, script, 'We are at the finish');
  if (script) for (const name of back) await press(leader, script, `Finished: ${name}`);
  else await countHeads(leader, script, back.length);
  await sent(leader, script);
  await seen('finish', leader);
}

async function countHeads(page: Page, script: boolean, heads: number): Promise<void> {
  await page.fill('#heads', String(heads));
  await press(page, script, 'All here');
}

async function close(day: Day, hands: Hands): Promise<void> {
  const { leader, seen } = hands;
  await follow(leader, leader.getByRole('link', { name: /^Everyone is accounted for/ }));
  await seen('close', leader);
  await follow(leader, leader.locator('button.do'));
  await seen('closed', leader);
  await leader.goto(`/lead/walks/${day.walk}`);
  await seen('a closed walk', leader);
}

async function afterwards({ coordinator, walker, seen }: Hands): Promise<void> {
  await coordinator.goto('/coordinate/incidents');
  await seen('incidents', coordinator);
  await walker.goto('/me/log');
  await seen('log', walker);
}
