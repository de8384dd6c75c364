import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { mailMaker } from '../../server/notices/mail.js';
import { oweReminders } from '../../server/notices/owe.js';
import { oweContext } from '../../server/walks/save.js';
import { closeStage, DAY, HOUR, openStage, type Stage } from '../notices/stage.js';
import { browserOf } from '../support/cast.js';
import { parsed } from '../support/mail-sink.js';

const GATHER = Date.UTC(2026, 11, 5, 13, 45);
const HOT = { temperature: '94', humidity: '50', wind: '5' };
const COLD = { temperature: '25', humidity: '60', wind: '15' };

let stage: Stage;
let ana: number;
beforeEach(async () => {
  stage = await openStage();
  ana = stage.signUp('ana@walkers.example');
  await stage.deliver();
});
afterEach(() => closeStage(stage));

async function typeIn(fields: Record<string, string>): Promise<void> {
  const answer = await browserOf(stage.site, stage.leaderId).post(`/lead/walks/${stage.walkId}/weather`, fields);
  expect(answer.status).toBe(303);
}

function remind(at = GATHER - DAY): void {
  stage.site.clock.now = at;
  stage.site.db.write((tx) => oweReminders(tx, oweContext(stage.site.services)));
}

/** The mail as it will go, or went. */
function reminder() {
  const row = stage.noticesOf(ana).find((notice) => notice.kind === 'reminder');
  if (!row) throw new Error('no reminder');
  const { text, html } = mailMaker(stage.site.services, stage.site.views).make(row);
  return { row, text: text.replace(/\u00a0/g, ' '), html: html.replace(/\u00a0/g, ' ') };
}

describe('the reminder', () => {
  it('tells the forecast that was typed in within two days, and what to do in it', async () => {
    stage.site.clock.now = GATHER - DAY - 48 * HOUR;
    await typeIn(HOT);
    remind();
    await stage.deliver();
    const { text = '', html } = await parsed(stage.sink.mails.at(-1));
    for (const part of [text, String(html)].map((body) => body.replace(/\u00a0/g, ' '))) {
      expect(part).toContain('Hot: feels like 103 °F, Danger');
      expect(part).toContain('94 °F, humidity 50%, wind 5 mph');
      expect(part).toContain('In such heat walks are called off');
      expect(part).toContain('In an emergency call 911 first');
      expect(part).toMatch(/typed in Wed, Dec 2, 8:45 AM EST/);
    }
    expect(text).not.toMatch(/\n{4}/);
  });

  it('does not tell one that is older', async () => {
    stage.site.clock.now = GATHER - DAY - 48 * HOUR - 1;
    await typeIn(HOT);
    remind();
    expect(reminder().text).not.toMatch(/WEATHER|feels like/);
  });

  it('that still waits tells one typed in later, and no other notice of the walk does', async () => {
    remind();
    expect(reminder().text).not.toContain('WEATHER');
    const bo = stage.signUp('bo@walkers.example', 'Bo');
    stage.pass(HOUR);
    await typeIn(COLD);
    expect(reminder().text).toContain('Cold: wind chill 13 °F at set-off');
    expect(reminder().html).toContain('Cold: wind chill 13 °F at set-off');
    stage.pass(HOUR);
    await typeIn(HOT);
    expect(reminder().text).toContain('feels like 103 °F');
    expect(reminder().text).not.toContain('wind chill');
    expect(JSON.stringify(stage.noticesOf(bo))).not.toContain('temperatureCelsius');
    expect(stage.story(ana)).toBe('confirmation sent, reminder pending');
    await stage.deliver();
    expect(stage.subjects().filter((subject) => subject.startsWith('Tomorrow'))).toHaveLength(1);
  });

  it('that went out, or may have, stays as it was', async () => {
    remind();
    stage.hurry();
    stage.sink.script('end', 'drop');
    await stage.deliver();
    expect(reminder().row).toMatchObject({ state: 'pending', unsure: true });
    const before = reminder().row.content;
    await typeIn(HOT);
    expect(reminder().row.content).toEqual(before);
    stage.pass(HOUR);
    await stage.deliver();
    expect(reminder().row.state).toBe('sent');
    await typeIn(COLD);
    expect(reminder().row.content).toEqual(before);
    expect((await browserOf(stage.site, stage.leaderId).get(`/lead/walks/${stage.walkId}/weather`)).text).toContain(
      'Reminders have gone out already.',
    );
  });

  it('of a walk that moved has no forecast', async () => {
    stage.site.clock.now = GATHER - DAY - HOUR;
    await typeIn(HOT);
    remind();
    expect(reminder().text).toContain('feels like');
    stage.edit({ date: '2026-12-06' });
    stage.site.clock.now = GATHER;
    await stage.deliver();
    remind(GATHER + HOUR);
    expect(stage.story(ana)).toBe('confirmation sent, change sent, reminder pending');
    expect(reminder().text).toContain('Sun, Dec 6');
    expect(JSON.stringify(stage.noticesOf(ana))).not.toContain('temperatureCelsius');
  });
});
