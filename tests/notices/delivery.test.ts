import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { parsed } from '../support/mail-sink.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage } from './stage.js';

let stage: Stage;
beforeEach(async () => {
  stage = await openStage();
});
afterEach(() => closeStage(stage));

const to = () => stage.sink.mails.map((mail) => mail.to.join('+'));
const last = (signUp: number) => stage.noticesOf(signUp).at(-1);

describe('a mail server that misbehaves', () => {
  it.each([
    ['421 at the greeting', 'greeting', 421],
    ['450 at RCPT', 'rcpt', 450],
    ['421 at MAIL', 'mail', 421],
    ['452 after the message', 'end', 452],
  ] as const)('%s: the mail waits a minute and goes once', async (_, step, code) => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script(step, code);
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', attempts: 1, unsure: false, lastError: expect.stringContaining(String(code)) });
    stage.pass(30_000);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(0);
    stage.pass(MINUTE);
    await stage.deliver();
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'sent', attempts: 2 });
    expect(to()).toEqual(['ana@walkers.example']);
  });

  it.each(['mail', 'rcpt', 'end'] as const)('550 at %s: failed at once, shown, and never sent', async (step) => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script(step, 550);
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'failed', attempts: 1, lastError: expect.stringContaining('550') });
    stage.pass(DAY);
    await stage.deliver();
    expect(stage.sink.mails).toHaveLength(0);
  });

  it('554 at the greeting or 530 at MAIL is about the server, not about the mail: it waits', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('greeting', 554);
    await stage.deliver();
    expect(last(ana)?.state).toBe('pending');
    stage.pass(5 * MINUTE);
    stage.sink.script('mail', 530);
    await stage.deliver();
    expect(last(ana)?.state).toBe('pending');
  });

  it('a hang at RCPT ends, and the others go on', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.hurry();
    stage.sink.script('rcpt', 'hang');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: false });
    stage.pass(2000);
    await stage.deliver();
    expect(last(bo)?.state).toBe('sent');
    stage.pass(MINUTE);
    await stage.deliver();
    expect(to()).toEqual(['bo@walkers.example', 'ana@walkers.example']);
  });

  it('a hang after the message leaves it unsure, and the others go on at once', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.hurry();
    stage.sink.script('end', 'hang');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: true });
    expect(last(bo)?.state).toBe('sent');
  });

  it('a connection dropped after the message, before the answer, repeats it once with the same Message-ID', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('end', 'swallow');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: true });
    stage.pass(2 * MINUTE);
    await stage.deliver();
    expect(last(ana)?.state).toBe('sent');
    const ids = (await Promise.all(stage.sink.mails.map(parsed))).map((mail) => mail.messageId);
    expect(ids).toHaveLength(2);
    expect(ids[0]).toBe(ids[1]);
  });

  it('a connection dropped before the message is no doubt at all', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 'drop');
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'pending', unsure: false });
  });

  it('a connection dropped after the 250 changes nothing; the next mail takes a new one', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.sink.script('end', 'drop after');
    await stage.deliver();
    stage.pass(5 * MINUTE);
    await stage.deliver();
    expect([stage.story(ana), stage.story(bo)]).toEqual(['confirmation sent', 'confirmation sent']);
    expect(to()).toEqual(['ana@walkers.example', 'bo@walkers.example']);
  });

  it('an absent server is not asked sixty times in a row', async () => {
    for (let one = 0; one < 12; one += 1) stage.signUp(`walker${one}@walkers.example`, `Walker ${one}`);
    stage.sink.script('greeting', ...Array.from({ length: 12 }, () => 421));
    await stage.deliver();
    expect(stage.sink.connections()).toBe(1);
    await stage.deliver();
    expect(stage.sink.connections()).toBe(1);
    stage.pass(MINUTE);
    await stage.deliver();
    expect(stage.sink.connections()).toBe(2);
  });

  it('retries come after fresh mail', async () => {
    stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    stage.pass(2 * MINUTE);
    stage.signUp('bo@walkers.example', 'Bo');
    await stage.deliver();
    expect(to()).toEqual(['bo@walkers.example', 'ana@walkers.example']);
  });

  it('gives up after three days, and says why', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', ...Array.from({ length: 100 }, () => 450));
    for (let hour = 0; hour < 72; hour += 1) {
      await stage.deliver();
      stage.pass(HOUR);
    }
    await stage.deliver();
    expect(last(ana)).toMatchObject({ state: 'failed', lastError: expect.stringMatching(/^Given up. The last try: 450/) });
  });

  it('gives up at gathering, where that is first', async () => {
    stage.site.clock.now = Date.UTC(2026, 11, 5, 12);
    const ana = stage.signUp('ana@walkers.example');
    stage.sink.script('rcpt', 450);
    await stage.deliver();
    stage.site.clock.now = Date.UTC(2026, 11, 5, 13, 45);
    await stage.deliver();
    expect(last(ana)?.state).toBe('failed');
    expect(stage.sink.mails).toHaveLength(0);
  });
});
