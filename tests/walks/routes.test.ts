import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { routes } from '../../server/db/schema/index.js';
import { factsOf, walkById } from '../../server/walks/store.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { roundGpx } from '../support/gpx-file.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

const FILE = { field: 'gpx', name: 'round.gpx', bytes: roundGpx() };
const NEW = '/lead/walks/new';
/** A walk of the route's own length and climb. */
const FROM_FILE = { ...WALK_FIELDS, distance: '', ascent: '' };

async function open() {
  const site = await openSite();
  const cast = layCast(site);
  const leader = cast.browser('leader');
  const walkAt = (location: string | undefined) => {
    const walk = walkById(site.db.q, Number(/\/(\d+)(\?|$)/.exec(location ?? '')?.[1]));
    if (!walk) throw new Error(`no walk at ${location}`);
    return walk;
  };
  const routeIds = () =>
    site.db.q
      .select({ id: routes.id })
      .from(routes)
      .all()
      .map((row) => row.id);
  return { site, cast, leader, walkAt, routeIds };
}

describe('a route that comes with a walk', () => {
  it('gives the walk its length, its climb and its hours, and is drawn on its page', async () => {
    const { site, leader, cast, walkAt } = await open();
    const posted = await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, FILE);
    expect(posted.status).toBe(303);
    const walk = walkAt(posted.headers.location);
    expect(walk.distanceMetres).toBeGreaterThan(7_900);
    expect(walk.distanceMetres).toBeLessThan(8_100);
    expect(walk.ascentMetres).toBeCloseTo(100, 0);
    expect(walk.effortMetres).toBeGreaterThan(walk.distanceMetres);
    const page = (await cast.browser('nobody').get(`/walks/${walk.id}`)).text;
    expect(page).toContain('The route, to scale');
    expect(page).toContain('Seen from above');
    expect(page).toContain(`/walks/${walk.id}/route.gpx`);
    expect(site.db.q.select({ points: routes.pointCount }).from(routes).get()?.points).toBe(200);
  });

  it("is downloaded as clean GPX, without anybody's times", async () => {
    const { site, leader, walkAt } = await open();
    const posted = await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, FILE);
    const { id } = walkAt(posted.headers.location);
    const plain = await site.app.inject({ url: `/walks/${id}/route.gpx` });
    expect(plain.headers['content-type']).toMatch(/^application\/gpx\+xml/);
    expect(plain.headers['content-encoding']).toBeUndefined();
    expect(plain.body).toContain('<gpx');
    expect(plain.body).not.toContain('<time>');
    const squeezed = await site.app.inject({ url: `/walks/${id}/route.gpx`, headers: { 'accept-encoding': 'gzip' } });
    expect(gunzipSync(squeezed.rawPayload).toString()).toBe(plain.body);
    expect((await site.app.inject({ url: '/walks/1/route.gpx' })).statusCode).toBe(404);
  });

  it('stays with a form that is refused, and is not asked for again', async () => {
    const { leader, walkAt, routeIds } = await open();
    const refused = await leader.postFile(NEW, { ...FROM_FILE, landmark: '', intent: 'post' }, FILE);
    expect(refused.status).toBe(422);
    const fields = formFields(refused.text);
    expect(fields.route).toBe(String(routeIds()[0]));
    const posted = await leader.post(NEW, { ...fields, landmark: 'under the clock', intent: 'post' });
    expect(posted.status).toBe(303);
    expect(walkAt(posted.headers.location).routeId).toBe(routeIds()[0]);
  });

  it('in the place of another brings its own length and climb, but for what the leader typed', async () => {
    const { leader, walkAt } = await open();
    const { id } = walkAt((await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, FILE)).headers.location);
    const edit = `/lead/walks/${id}/edit`;
    const other = { ...FILE, bytes: roundGpx({ lat: 41.31, high: 300, wide: 1.5 }) };
    const reasons = { 'explain[toilets]': 'Inns', 'explain[water]': 'Inns' };
    await leader.postFile(edit, { ...formFields((await leader.get(edit)).text), ...reasons, intent: 'save' }, other);
    expect(walkAt(`/${id}`).distanceMetres).toBeGreaterThan(11_000);
    expect(walkAt(`/${id}`).ascentMetres).toBeCloseTo(300, 0);
    await leader.postFile(edit, { ...formFields((await leader.get(edit)).text), distance: '5.5', intent: 'save' }, FILE);
    expect(walkAt(`/${id}`)).toMatchObject({ distanceMetres: 8851 });
    expect(walkAt(`/${id}`).ascentMetres).toBeCloseTo(100, 0);
  });

  it('sent twice is one route and one walk', async () => {
    const { leader, routeIds } = await open();
    const first = await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, FILE);
    const second = await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, FILE);
    expect(second.headers.location).toBe(first.headers.location);
    expect(routeIds()).toHaveLength(1);
  });

  it("of someone else's unposted form is not to be had", async () => {
    const { cast, leader, routeIds } = await open();
    await leader.postFile(NEW, { ...FROM_FILE, landmark: '', intent: 'post' }, FILE);
    const route = String(routeIds()[0]);
    const answer = await cast.browser('other leader').post(NEW, { ...WALK_FIELDS, route, intent: 'post' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Choose the file again');
    expect(answer.text).not.toContain('A route is kept');
  });

  it("of someone else's draft is not shown by a link that fills the form", async () => {
    const { cast, leader, routeIds } = await open();
    await leader.postFile(NEW, { ...FROM_FILE, intent: 'draft' }, FILE);
    const answer = await cast.browser('other leader').get(`${NEW}?route=${routeIds()[0]}&distance=5`);
    expect(formFields(answer.text).distance).toBe('5');
    expect(answer.text).not.toContain('A route is kept');
  });

  it('gives a climb that an edit of something else leaves alone', async () => {
    const { leader, walkAt } = await open();
    for (const high of [101.4, 104.1, 106.9]) {
      const bytes = roundGpx({ high });
      const { id, ascentMetres } = walkAt(
        (await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, { ...FILE, bytes })).headers.location,
      );
      const fields = formFields((await leader.get(`/lead/walks/${id}/edit`)).text);
      await leader.post(`/lead/walks/${id}/edit`, { ...fields, description: 'Another word', intent: 'save' });
      expect(walkAt(`/${id}`)).toMatchObject({ ascentMetres, version: 2, sequence: 0 });
    }
  });

  it('that cannot be read is refused beside the file, and nothing typed is lost', async () => {
    const { leader, routeIds } = await open();
    const bytes = Buffer.from('<html><body>Not found</body></html>');
    const answer = await leader.postFile(NEW, { ...WALK_FIELDS, intent: 'post' }, { ...FILE, bytes });
    expect(answer.status).toBe(422);
    expect(answer.text).toMatch(/id="gpx-error"/);
    expect(formFields(answer.text)).toMatchObject({ routeName: 'Ridge round', distance: '12' });
    expect(routeIds()).toEqual([]);
  });

  it('can be changed and taken off again, and those who signed up can be told', async () => {
    const { leader, cast, walkAt, routeIds } = await open();
    const posted = await leader.postFile(NEW, { ...FROM_FILE, intent: 'post' }, FILE);
    const { id } = walkAt(posted.headers.location);
    const edit = `/lead/walks/${id}/edit`;
    const fields = formFields((await leader.get(edit)).text);
    const other = { ...FILE, bytes: roundGpx({ lat: 41.305 }) };
    const preview = await leader.postFile(edit, { ...fields, intent: 'preview' }, other);
    expect(preview.text).toContain('Route');
    const carried = formFields(preview.text);
    expect((await leader.post(edit, { ...carried, intent: 'save' })).status).toBe(303);
    expect(walkAt(`/${id}`).routeId).toBe(routeIds()[1]);
    const again = formFields((await leader.get(edit)).text);
    expect((await leader.post(edit, { ...again, dropRoute: 'yes', intent: 'save' })).status).toBe(303);
    expect(walkAt(`/${id}`)).toMatchObject({ routeId: null, effortMetres: null });
    expect((await cast.browser('nobody').get(`/walks/${id}/route.gpx`)).status).toBe(404);
  });
});

describe('the buttons within the walk form', () => {
  it("put the file's places among the stops, and draft the directions", async () => {
    const { leader, site } = await open();
    const before = site.db.writes();
    const kept = await leader.postFile(NEW, { ...FROM_FILE, directions: '', intent: 'check' }, FILE);
    expect(kept.status).toBe(200);
    expect(kept.text).toContain('Lower lock at');
    const placed = await leader.post(NEW, { ...formFields(kept.text), intent: 'waypoints' });
    expect(formFields(placed.text)).toMatchObject({
      'stops[0][kind]': 'toilets',
      'stops[0][name]': 'Lower lock',
      'stops[1][kind]': 'shop',
    });
    expect(placed.text).not.toContain('Put these among the stops');
    const again = await leader.post(NEW, { ...formFields(placed.text), intent: 'waypoints' });
    expect(formFields(again.text)['stops[2][name]']).toBe('');
    const drafted = await leader.post(NEW, { ...formFields(again.text), intent: 'turns' });
    expect(formFields(drafted.text).directions).toMatch(/^0\.0 mi: set off, heading \w+/);
    const started = await leader.post(NEW, { ...formFields(drafted.text), intent: 'start' });
    expect(formFields(started.text)).toMatchObject({ lat: '41.30000', lon: '-85.10000' });
    expect(site.db.writes()).toBe(before + 1);
  });

  it("place the file's places by the length that was typed", async () => {
    const { leader } = await open();
    const kept = await leader.postFile(NEW, { ...FROM_FILE, distance: '4', intent: 'waypoints' }, FILE);
    const along = Number(formFields(kept.text)['stops[1][distance]']);
    expect(along).toBeCloseTo((4 * 2) / 3, 1);
  });

  it('add a row for another stop, whatever else is wrong meanwhile', async () => {
    const { leader } = await open();
    const answer = await leader.post(NEW, { routeName: 'Half typed', 'stops[0][name]': 'Lock', 'stops[1][name]': 'Lane', intent: 'stop' });
    expect(answer.status).toBe(200);
    const fields = formFields(answer.text);
    expect(fields).toMatchObject({ routeName: 'Half typed', 'stops[0][name]': 'Lock', 'stops[1][name]': 'Lane', 'stops[2][name]': '' });
    expect(answer.text).not.toContain('aria-invalid');
  });
});

describe('the walk check stands before posting', () => {
  const bare = { ...WALK_FIELDS, walkCheck: 'shown' };

  it('refuses what must be mended or explained, and shows the reason on the page', async () => {
    const { leader, cast, walkAt } = await open();
    const refused = await leader.post(NEW, { ...bare, intent: 'post' });
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('href="#explain-toilets"');
    expect(refused.text).toContain('href="#explain-water"');
    const reasons = { 'explain[toilets]': 'Cafés at every mile', 'explain[water]': 'Bring three bottles' };
    const posted = await leader.post(NEW, { ...formFields(refused.text), ...reasons, intent: 'post' });
    expect(posted.status).toBe(303);
    const walk = walkAt(posted.headers.location);
    expect(walk.explained).toEqual({ toilets: 'Cafés at every mile', water: 'Bring three bottles' });
    expect((await cast.browser('nobody').get(`/walks/${walk.id}`)).text).toContain('Bring three bottles');
  });

  it('does not hold up a form that does not show it, and tells the leader all the same', async () => {
    const { leader } = await open();
    const posted = await leader.post(NEW, { ...WALK_FIELDS, intent: 'post' });
    expect(posted.status).toBe(303);
    expect((await leader.get(posted.headers.location ?? '')).text).toContain('No toilets between');
  });

  it('lets a draft be', async () => {
    const { leader } = await open();
    expect((await leader.post(NEW, { ...bare, intent: 'draft' })).status).toBe(303);
  });

  it('keeps no reason for what is not so any more', async () => {
    const { leader, walkAt } = await open();
    const posted = await leader.post(NEW, { ...bare, distance: '4', 'explain[dusk]': 'Torches', intent: 'post' });
    expect(walkAt(posted.headers.location).explained).toEqual({});
  });

  it('keeps the reasons of a form that is refused for something else', async () => {
    const { leader } = await open();
    const refused = await leader.post(NEW, { ...bare, landmark: '', 'explain[toilets]': 'Inns', intent: 'post' });
    expect(refused.status).toBe(422);
    expect(formFields(refused.text)).toMatchObject({ 'explain[toilets]': 'Inns' });
  });

  it('keeps reasons through an edit at the same time', async () => {
    const { leader, cast } = await open();
    const edit = `/lead/walks/${cast.walkId}/edit`;
    const fields = formFields((await leader.get(edit)).text);
    const other = cast.browser('co-leader');
    await other.post(edit, { ...formFields((await other.get(edit)).text), bring: 'A hat', intent: 'save' });
    const merged = await leader.post(edit, { ...fields, 'explain[dusk]': 'Moonlight', description: 'More', intent: 'save' });
    expect(merged.status).toBe(422);
    expect(formFields(merged.text)).toMatchObject({ bring: 'A hat', description: 'More', 'explain[dusk]': 'Moonlight' });
  });

  it('lets a posted walk be moved in a hurry, and asks only for what the edit brings', async () => {
    const { leader, cast, site } = await open();
    const edit = `/lead/walks/${cast.walkId}/edit`;
    const fields = formFields((await leader.get(edit)).text);
    expect(factsOf(walkById(site.db.q, cast.walkId) ?? expect.fail()).explained).toEqual({});
    expect((await leader.post(edit, { ...fields, meetingPoint: 'North gate', intent: 'save' })).status).toBe(303);
    const later = formFields((await leader.get(edit)).text);
    const refused = await leader.post(edit, { ...later, gather: '14:45', setOff: '15:00', intent: 'save' });
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('href="#explain-dusk"');
    expect(refused.text).not.toContain('href="#explain-toilets"');
  });
});
