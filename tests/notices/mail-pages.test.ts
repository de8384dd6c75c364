import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { people } from '../../server/db/schema/index.js';
import { oweSignIn } from '../../server/notices/owe.js';
import { PAGE_ROWS, queueAge, walkNotices } from '../../server/notices/store.js';
import type { Browser } from '../support/browser.js';
import { browserOf } from '../support/cast.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
let coordinator: Browser;
afterEach(() => closeStage(stage));

async function open(set: Partial<Record<string, string>> = {}): Promise<void> {
  stage = await openStage(set);
  const row = { name: 'Cora Danner', email: 'coordinator@waymeet.example', coordinator: true, createdAt: stage.site.clock.now };
  const { id } = stage.site.db.write((tx) => tx.insert(people).values(row).returning({ id: people.id }).get());
  coordinator = browserOf(stage.site, id);
}

describe('the mail page', () => {
  beforeEach(() => open());

  it('shows failures first, with the reason, the phone to ring and the walk', async () => {
    stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 550);
    await stage.deliver();
    const { text } = await coordinator.get('/coordinate/mail');
    expect(text.indexOf('Failed: ring these people')).toBeGreaterThan(0);
    expect(text.indexOf('Failed: ring these people')).toBeLessThan(text.indexOf('>Latest<'));
    expect(text).toContain('550 as scripted');
    expect(text).toContain('href="tel:+12025550123"');
    expect(text).toContain(`href="/lead/walks/${stage.walkId}">Quarry Lakes loop, Sat, Dec 5</a>`);
    expect(text).not.toContain(`Walk ${stage.walkId}<`);
  });

  it('says how long the oldest has waited', async () => {
    stage.signUp('ana@walkers.example');
    stage.pass(3 * HOUR);
    expect(queueAge(stage.site.db.q, stage.site.clock.now)).toEqual({ pending: 1, sending: 0, oldestMs: 3 * HOUR, failed: 0 });
    expect((await coordinator.get('/coordinate/mail')).text).toContain('3 hours');
  });

  it('does not call a notice on hold late', async () => {
    stage.signUp('ana@walkers.example');
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    stage.pass(MINUTE);
    expect(queueAge(stage.site.db.q, stage.site.clock.now)).toMatchObject({ pending: 1, oldestMs: 0 });
    expect((await coordinator.get('/coordinate/mail')).text).toContain('nothing is late');
  });

  it('"try again" sends what is true now, once', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 550);
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    const id = stage.noticesOf(ana)[0]?.id;
    const answer = await coordinator.post(`/coordinate/mail/${id}/again`);
    expect([answer.status, answer.headers.location]).toEqual([303, '/coordinate/mail']);
    await coordinator.post(`/coordinate/mail/${id}/again`);
    await stage.deliver();
    stage.pass(DAY);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(1);
    expect(stage.sink.mails[0]?.raw.replaceAll('=\r\n', '')).toMatch(/8:00/);
    expect(stage.told(ana)).toBe(2);
  });

  it('"try again" on what may have arrived, and is no longer true, is a new mail; its waits start anew', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('end', 'swallow', 550);
    await stage.deliver();
    stage.pass(2 * MINUTE);
    await stage.deliver();
    stage.edit({ gather: '08:00' });
    const [failed] = stage.noticesOf(ana);
    expect(failed).toMatchObject({ state: 'failed', unsure: true, attempts: 2 });
    await coordinator.post(`/coordinate/mail/${failed?.id}/again`);
    const [again] = stage.noticesOf(ana);
    expect(again).toMatchObject({ state: 'pending', unsure: false, attempts: 0, version: 2 });
    expect(again?.messageId).not.toBe(failed?.messageId);
  });

  it('tries all again', async () => {
    const both = [stage.signUp('ana@walkers.example'), stage.signUp('bo@walkers.example', 'Bo')];
    stage.sink.script('rcpt', 550, 550);
    await stage.deliver();
    expect((await coordinator.post('/coordinate/mail/again')).status).toBe(303);
    await stage.deliver();
    expect(both.map((id) => stage.story(id))).toEqual(['confirmation sent', 'confirmation sent']);
  });

  it('shows a mail without the links that would let one act as the walker, and no sign-in mail at all', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const { db, clock, services, config } = stage.site;
    const context = { now: clock.now, settings: services.settings(), config };
    db.write((tx) => oweSignIn(tx, context, { linkId: 5, email: 'ana@walkers.example', name: 'Ana', expiresAt: clock.now + 10 * MINUTE }));
    const id = stage.noticesOf(ana)[0]?.id ?? 0;
    const shown = await coordinator.get(`/coordinate/mail/${id}`);
    expect(shown.text).toContain('You are coming');
    expect(shown.text).not.toMatch(/\/sign-ups\/[\w-]{20}/);
    const signIn = await coordinator.get(`/coordinate/mail/${id + 1}`);
    expect(signIn.status).toBe(200);
    expect(signIn.text).not.toMatch(/\/sign-in\/[\w-]{20}|in the browser you asked from/);
    expect((await coordinator.get('/coordinate/mail/999')).status).toBe(404);
    expect((await coordinator.get('/coordinate/mail/x')).status).toBe(404);
  });

  it('a sign-in mail whose link has expired is not tried again', async () => {
    const { db, clock, services, config } = stage.site;
    const context = { now: clock.now, settings: services.settings(), config };
    db.write((tx) => oweSignIn(tx, context, { linkId: 5, email: 'ana@walkers.example', name: 'Ana', expiresAt: clock.now + 10 * MINUTE }));
    stage.pass(10 * MINUTE);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(0);
    expect((await coordinator.post('/coordinate/mail/1/again')).status).toBe(409);
  });

  it('sends a test mail to who asked', async () => {
    const answer = await coordinator.post('/coordinate/mail/test');
    expect(answer.status).toBe(303);
    await stage.deliver();
    expect(stage.sink.mails.map((mail) => mail.to)).toEqual([['coordinator@waymeet.example']]);
    expect((await coordinator.get(answer.headers.location ?? '')).text).toContain('delivered');
  });

  it('pages through what is older', async () => {
    for (let one = 0; one < 12; one += 1) {
      const id = stage.signUp(`walker${one}@walkers.example`, `Walker ${one}`);
      const rows = Array.from({ length: 9 }, (_, turn) => turn);
      for (const turn of rows)
        stage.site.db.raw
          .prepare(
            `INSERT INTO notices (event, kind, state, walk_id, sign_up_id, version, to_name, to_email, message_id, content, created_at, due_at, give_up_at)
             SELECT event || ?, kind, 'replaced', walk_id, sign_up_id, version, to_name, to_email, message_id || ?, content, created_at, due_at, give_up_at
             FROM notices WHERE sign_up_id = ? LIMIT 1`,
          )
          .run(`-${turn}`, `-${turn}`, id);
    }
    const first = await coordinator.get('/coordinate/mail');
    const older = /\/coordinate\/mail\?before=\d+/.exec(first.text)?.[0] ?? '';
    expect(older).not.toBe('');
    const second = await coordinator.get(older);
    expect([...second.text.matchAll(/<tr><th scope="row"/g)]).toHaveLength(Math.min(PAGE_ROWS, 120 - PAGE_ROWS));
    expect(walkNotices(stage.site.db.q, stage.walkId)).toHaveLength(120);
  });
});

describe('without a mail server', () => {
  it('mail is kept and read here, links and all', async () => {
    await open({ SMTP_URL: '' });
    const { chooseTransport } = await import('../../server/notices/transport.js');
    const { startOutbox } = await import('../../server/notices/outbox.js');
    const ana = stage.signUp('ana@walkers.example');
    const outbox = startOutbox(stage.site.services, stage.site.views, chooseTransport(stage.site.config), { tickMs: 0 });
    await outbox.drain();
    expect(stage.story(ana)).toBe('confirmation kept');
    expect(stage.told(ana)).toBe(1);
    const shown = await coordinator.get(`/coordinate/mail/${stage.noticesOf(ana)[0]?.id}`);
    expect(shown.text).toMatch(/\/sign-ups\/[\w-]{43}/);
    expect((await coordinator.get('/coordinate/mail')).text).toContain('No mail server is set');
    await outbox.stop();
  });
});
