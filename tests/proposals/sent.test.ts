import { beforeEach, describe, expect, it } from 'vitest';
import { saveNewWalk } from '../../server/walks/save.js';
import { walkFacts } from '../support/cast.js';
import { cast, coordinator, DAY_MS, fieldsOf, mails, open, PAGE, plain, sendAll, shown, signInAgain, site, stored } from './stage.js';

beforeEach(() => open());

describe('what is sent', () => {
  it('asks each leader by one mail, and shows it as asked; the need is proposed to nobody else meanwhile', async () => {
    const { answer, links } = await sendAll({ note: 'It would help.' });
    expect([answer.status, answer.headers.location]).toEqual([303, `${PAGE}?from=2026-12&months=1&sent=1`]);
    expect(stored()).toMatchObject([{ areaId: 1, month: '2026-12', dayKind: 'any', state: 'open', bestMetres: null }]);
    expect([links.size, mails()[0]?.state]).toEqual([1, 'pending']);
    const html = await shown(`?from=2026-12&months=1&sent=1`);
    expect(html).toContain('<b>1 walk asked for.</b>');
    expect(html).toContain('no answer yet');
    expect(html).toContain('2 walks are missing, and nobody is left to ask');
    expect(plain((await coordinator.get('/coordinate')).text)).toContain('1 asked for, no answer yet');
  });

  it('is mailed for three days, or until the last day that is asked for begins', async () => {
    await sendAll();
    expect(mails()[0]?.giveUpAt).toBe(site.clock.now + 3 * DAY_MS);
    await open();
    site.clock.now = Date.UTC(2026, 11, 24, 15);
    signInAgain();
    await sendAll();
    const last = Date.parse(stored()[0]?.date ?? '');
    expect(last).toBeLessThan(site.clock.now + 3 * DAY_MS);
    expect(mails()[0]?.giveUpAt).toBe(last);
  });

  it('twice does no harm: the same form asks once', async () => {
    const fields = fieldsOf(await shown());
    const query = '?from=2026-12&months=1';
    expect((await coordinator.post(PAGE + query, fields)).status).toBe(303);
    expect((await coordinator.post(PAGE + query, fields)).status).toBe(303);
    expect([stored().length, mails().length]).toEqual([1, 1]);
  });

  it('by two coordinators at once asks one leader: the second is told who was asked, and keeps what they typed', async () => {
    const fields = fieldsOf(await shown());
    const [first, other] = [cast.ids['other leader'], cast.ids['co-leader']];
    expect((await coordinator.post(PAGE, { ...fields, 'rows[0][leader]': String(first) })).status).toBe(303);
    const second = await cast.browser('coordinator').post(PAGE, { ...fields, 'rows[0][leader]': String(other), note: 'Mine' });
    expect(second.status).toBe(422);
    expect(second.text).toContain('Otto Blume was asked for this walk meanwhile');
    expect(second.text).toMatch(/<title>Error: /);
    expect(fieldsOf(second.text).note).toBe('Mine');
    expect(stored()).toHaveLength(1);
  });

  it('may ask a leader again for what a walk of theirs left missing: it met another need like it', async () => {
    const query = '?from=2027-01&months=1';
    const bette = cast.ids['other leader'];
    const ask = {
      'rows[0][ask]': 'on',
      'rows[0][need]': '1 2027-01 0 01',
      'rows[0][leader]': String(bette),
      'rows[0][date]': '2027-01-09',
    };
    await shown(query);
    expect((await coordinator.post(PAGE + query, ask)).status).toBe(303);
    site.clock.now += 1000;
    saveNewWalk(site.services, walkFacts({ date: '2027-01-16' }), bette, 'posted');
    expect(await shown(query)).toContain('posted the walk');
    site.clock.now += 1000;
    expect((await coordinator.post(PAGE + query, ask)).status).toBe(303);
    expect(stored().map(({ need, state }) => [need, state])).toEqual([
      ['1 2027-01 0 01', 'ended'],
      ['1 2027-01 0 01', 'open'],
    ]);
    const html = await shown(query);
    expect([html.includes('posted the walk'), html.includes('no answer yet')]).toEqual([true, true]);
  });

  it('goes to the leader that was chosen instead', async () => {
    const html = await shown();
    const proposed = fieldsOf(html)['rows[0][leader]'];
    const other = [cast.ids['other leader'], cast.ids['co-leader']].find((id) => String(id) !== proposed);
    await sendAll({ 'rows[0][leader]': String(other) });
    expect(stored()[0]?.toPersonId).toBe(other);
  });

  it('with nothing ticked is refused', async () => {
    const { 'rows[0][ask]': _, ...fields } = fieldsOf(await shown());
    const answer = await coordinator.post(PAGE, fields);
    expect([answer.status, stored().length]).toEqual([422, 0]);
    expect(answer.text).toContain('Tick at least one walk.');
  });

  it('can be taken back, and the walk is proposed again', async () => {
    const { links } = await sendAll();
    const id = String(stored()[0]?.id);
    await coordinator.get(PAGE);
    expect((await coordinator.post(PAGE, { takeBack: id })).status).toBe(303);
    expect(stored()[0]?.state).toBe('ended');
    expect(await shown()).toContain('Ask 1 person');
    expect((await cast.browser('nobody').get([...links.values()][0] ?? '')).text).toContain('not asked for this any more');
  });
});
