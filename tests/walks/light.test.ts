import { describe, expect, it } from 'vitest';
import { lightOn, placeOf } from '../../server/walks/light.js';

const AREA = { lat: 10, lon: 20 };
const ROUTE = { line: [[[5, 6, 0] as [number, number, number]]] };

describe("a walk's daylight", () => {
  it("is that of its map point, else of its route's start, else of its area's middle", () => {
    expect(placeOf({ lat: 1, lon: 2 }, ROUTE, AREA)).toEqual({ lat: 1, lon: 2 });
    expect(placeOf({ lat: null, lon: null }, ROUTE, AREA)).toEqual({ lat: 5, lon: 6 });
    expect(placeOf({ lat: null, lon: null }, null, AREA)).toEqual({ lat: 10, lon: 20 });
  });

  it('knows the polar day from the polar night', () => {
    const arctic = { lat: 69.6489, lon: 18.9551 };
    const noon = (date: string) => Date.parse(`${date}T11:00Z`);
    expect(lightOn(arctic, '2026-06-21', 'Europe/Oslo', noon('2026-06-21'))).toMatchObject({ rise: null, set: null, allDay: true });
    expect(lightOn(arctic, '2026-12-21', 'Europe/Oslo', noon('2026-12-21'))).toMatchObject({ rise: null, set: null, allDay: false });
  });
});
