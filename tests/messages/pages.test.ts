import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { withdrawSignUp } from '../../server/signups/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { cancelWalk, saveNewWalk } from '../../server/walks/save.js';
import { closeStage, DAY, HOUR, MINUTE, openStage, type Stage } from '../notices/stage.js';
import { browserOf, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { parsed } from '../support/mail-sink.js';

const TYPED = { subject: 'Bring a hat', text: 'It will be sunny.\n\n<b>Very</b> sunny & hot.' };

let stage: Stage;
let path: string;
beforeEach(async () => {
  stage = await openStage();
  path = `/lead/walks/${stage.walkId}/message`;
});
afterEach(() => closeStage(stage));

const leader = () => browserOf(stage.site, stage.leaderId);
const send = async (fields: Record<string, string> = TYPED) => {
  const answer = await leader().post(path, { ...fields, intent: 'send' });
  expect([answer.status, answer.headers.location]).toEqual([303, `${path}?sent=1`]);
};

describe('a message to everyone', () => {
  it('goes once to each who comes or waits, as it was typed, and to nobody else', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const many = stage.signUp('bo@walkers.example', 'Bo', 12);
    const gone = stage.signUp('cy@walkers.example', 'Cy');
    withdrawSignUp(stage.site.services, gone);
    await stage.deliver();
    const before = stage.sink.mails.length;
    await send();
    await send();
    await stage.deliver();
    const mails = stage.sink.mails.slice(before);
    expect(mails.map((mail) => mail.to)).toEqual([['ana@walkers.example'], ['bo@walkers.example']]);
    expect(stage.story(ana)).toBe('confirmation sent, message sent');
    expect(stage.story(many)).toBe('waiting sent, message sent');
    const { subject, text = '', html, attachments } = await parsed(mails[0]);
    expect(subject).toBe('Bring a hat: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(text).toMatch(
      /^Hello Ana Ferreira,\n\nLena Marsh writes to everyone on this walk:\n\nIt will be sunny\.\n\n<b>Very<\/b> sunny & hot\.\n/,
    );
    expect(text).toContain('+1 202 555 0110');
    expect(html).toContain('<p>&lt;b&gt;Very&lt;/b&gt; sunny &amp; hot.</p>');
    expect(attachments).toEqual([]);
    expect((await parsed(mails[1])).text).toContain('You are on the waiting list');
  });

  it('that says the same goes again after a while; one that says something else goes at once', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const messages = () => stage.noticesOf(ana).filter((row) => row.kind === 'message').length;
    await send();
    stage.pass(10 * MINUTE - 1);
    await send();
    expect(messages()).toBe(1);
    await send({ ...TYPED, text: 'Rain after all.' });
    expect(messages()).toBe(2);
    stage.pass(1);
    await send();
    expect(messages()).toBe(3);
  });

  it('sent once more reaches who signed up between, and none of the others twice', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await send();
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.pass(MINUTE);
    await send();
    stage.pass(MINUTE);
    await send();
    for (const [signUp, kinds] of [
      [ana, 'confirmation,message'],
      [bo, 'confirmation,message'],
    ] as const)
      expect(
        stage
          .noticesOf(signUp)
          .map((row) => row.kind)
          .join(),
      ).toBe(kinds);
  });

  it('counts as no news of when and where, and leaves a change to be told', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    await send();
    stage.edit({ gather: '08:15' });
    await stage.deliver();
    expect(stage.told(ana)).toBe(1);
    stage.pass(HOUR);
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation sent, message sent, change sent');
  });

  it('does not stand for a confirmation that was refused', async () => {
    stage.sink.script('rcpt', 550);
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    await send();
    await stage.deliver();
    expect(stage.story(ana)).toBe('confirmation failed, message sent');
    expect(stage.told(ana)).toBe(null);
  });

  it('that has not gone when the walk is cancelled does not go any more', async () => {
    const ana = stage.signUp('ana@walkers.example');
    await stage.deliver();
    await send();
    cancelWalk(stage.site.services, stage.walkId, stage.leaderId, { kind: 'safety', reason: 'Storm' });
    expect(stage.story(ana)).toBe('confirmation sent, message replaced, cancellation pending');
    expect((await leader().post(path, { ...TYPED, intent: 'send' })).status).toBe(409);
  });
});

describe('the page', () => {
  it('shows the mail and how many get it before it goes, and sends nothing by that', async () => {
    const ana = stage.signUp('ana@walkers.example');
    stage.signUp('bo@walkers.example', 'Bo', 12);
    const shown = await leader().post(path, TYPED);
    expect(shown.status).toBe(200);
    expect(shown.text).toContain('<b>2</b> sign-ups: 1 coming, 1 waiting');
    expect(shown.text).toContain('Bring a hat: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(shown.text).toContain('&lt;b&gt;Very&lt;/b&gt; sunny &amp; hot.');
    expect(shown.text).not.toMatch(/sign-ups\/[\w-]{20}/);
    expect(stage.story(ana)).toBe('confirmation pending');
    const fields = formFields(shown.text) as Record<string, string>;
    expect(fields).toMatchObject(TYPED);
    expect(formFields((await leader().post(path, { ...TYPED, intent: 'change' })).text)).toMatchObject(TYPED);
    await send({ subject: fields.subject ?? '', text: fields.text ?? '' });
    const after = await leader().get(`${path}?sent=1`);
    expect(after.text).toContain('On its way');
    expect(after.text).toMatch(/What was sent[\s\S]*Bring a hat[\s\S]*Write another/);
    expect(after.text).not.toMatch(/It goes by mail|id="subject"|Sent before/);
    const again = (await leader().get(path)).text;
    expect(again).toMatch(/Bring a hat: Wed, Nov 25, .* by Lena Marsh, in 2 mails</);
    expect(again).toContain('id="subject"');
  });

  it('refuses with what was typed', async () => {
    const answer = await leader().post(path, { subject: '', text: TYPED.text, intent: 'send' });
    expect(answer.status).toBe(422);
    expect(answer.text).toMatch(/<title>Error: /);
    expect(answer.text).toContain('href="#subject"');
    expect(formFields(answer.text)).toMatchObject({ subject: '', text: TYPED.text });
  });

  it('begins with the weather where it is asked to, and can', async () => {
    expect(formFields((await leader().get(`${path}?start=weather`)).text)).toMatchObject({ subject: '', text: '' });
    await leader().post(`/lead/walks/${stage.walkId}/weather`, { temperature: '94', humidity: '50', wind: '5' });
    const { text } = await leader().get(path);
    expect(text).toContain(`href="${path}?start=weather"`);
    expect(formFields(text)).toMatchObject({ subject: '', text: '' });
    const begun = formFields((await leader().get(`${path}?start=weather`)).text);
    expect(String(begun.subject).replace(/\u00a0/g, ' ')).toBe('Hot: feels like 103 °F, Danger');
    expect(begun.text).toContain('humidity 50%');
  });

  it('says that there is nobody to write to', async () => {
    expect((await leader().get(path)).text).toContain('there is nobody to write to');
    expect((await leader().post(path, TYPED)).text).not.toContain('value="send"');
    await send();
    expect((await leader().get(`${path}?sent=1`)).text).toContain('Nobody has signed up, so nobody was written to.');
  });

  it('is closed fourteen days after the walk set off', async () => {
    const setOff = Date.UTC(2026, 11, 5, 14);
    stage.site.clock.now = setOff + 14 * DAY - 1;
    expect((await leader().get(path)).status).toBe(200);
    stage.site.clock.now = setOff + 14 * DAY;
    expect((await leader().get(path)).status).toBe(409);
    const answer = await leader().post(path, { ...TYPED, intent: 'send' });
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('Messages go out until 14 days after a walk.');
  });

  it('refuses what still holds a gap, whichever way it is asked for, and keeps what was typed', async () => {
    const ana = stage.signUp('ana@walkers.example');
    const { subject = '', text = '' } = formFields((await leader().get(`${path}?start=parking`)).text) as Record<string, string>;
    for (const intent of ['send', 'preview', 'test']) {
      const answer = await leader().post(path, { subject, text, intent });
      expect(answer.status).toBe(422);
      expect(answer.text).toContain('Put your own words in place of [how many], or take that line out.');
      expect(formFields(answer.text)).toMatchObject({ subject, text });
    }
    expect(stage.story(ana)).toBe('confirmation pending');
  });

  it('offers what fits the moment', async () => {
    const offered = async (at: number) => {
      stage.site.clock.now = at;
      return [...(await leader().get(path)).text.matchAll(/\?start=(\w+)"/g)].map((match) => match[1]);
    };
    expect(await offered(Date.UTC(2026, 11, 5, 5) - 1)).toEqual(['meeting', 'parking']);
    expect(await offered(Date.UTC(2026, 11, 5, 5))).toEqual(['meeting', 'parking', 'late']);
    expect(await offered(Date.UTC(2026, 11, 5, 13, 45))).toEqual(['late']);
    expect(await offered(Date.UTC(2026, 11, 5, 14))).toEqual(['late', 'thanks', 'photos']);
    expect(await offered(Date.UTC(2026, 11, 6))).toEqual(['thanks', 'photos']);
  });

  it('fills the figures of the walk in, and thanks with the next three walks of the area', async () => {
    const lay = (date: string, changed: Partial<WalkFacts> = {}) =>
      saveNewWalk(stage.site.services, walkFacts({ date, ...changed }), stage.leaderId, 'posted');
    const next = [lay('2026-12-12'), lay('2026-12-19'), lay('2026-12-26')];
    lay('2027-01-02');
    lay('2026-12-07', { areaId: 2 });
    cancelWalk(stage.site.services, lay('2026-12-08'), stage.leaderId, { kind: 'other', reason: 'Ill' });
    const { text: meeting } = formFields((await leader().get(`${path}?start=meeting`)).text);
    expect(meeting).toContain('Weir car park, by the green ticket machine');
    expect(meeting).toContain('Lena Marsh, +1 202 555 0110');
    stage.site.clock.now = Date.UTC(2026, 11, 6);
    const { text: thanks } = formFields((await leader().get(`${path}?start=thanks`)).text);
    const hrefs = [...String(thanks).matchAll(/\/walks\/(\d+)/g)].map((match) => Number(match[1]));
    expect(hrefs).toEqual(next);
  });

  it('says whom it reaches once people have gathered', async () => {
    stage.signUp('ana@walkers.example');
    stage.signUp('bo@walkers.example', 'Bo', 12);
    stage.site.clock.now = Date.UTC(2026, 11, 6);
    expect((await leader().get(path)).text).toContain('<b>1</b> sign-up that had a place');
    expect((await leader().get(`/lead/walks/${stage.walkId}`)).text).toContain('Write to those who had a place');
    await send();
    const walk = (await leader().get(`/lead/walks/${stage.walkId}`)).text;
    expect(walk).toMatch(/Bring a hat: .*, in 1 mail to those who had a place</);
    stage.site.clock.now += 20 * DAY;
    expect((await leader().get(`/lead/walks/${stage.walkId}`)).text).not.toContain('Write to those who had a place');
  });
});
