import type { Services } from '../services.js';
import type { WalkRow } from '../walks/ledby.js';
import { oweContext } from '../walks/save.js';
import { walkById } from '../walks/store.js';
import type { Named } from './content.js';
import { handOver } from './hand-over.js';
import { named, oweLeading } from './owe.js';
import { mayChangeLeaders } from './rules.js';
import { partsOf, removeCoLeader } from './store.js';

/** Takes a co-leader off a walk, and tells them. */
export function removePartner(services: Services, walk: WalkRow, personId: number, by: Named): void {
  services.db.write((tx) => {
    const partner = partsOf(tx, walk.id).find((one) => one.personId === personId);
    if (!partner || !removeCoLeader(tx, walk.id, personId)) return;
    const said = { news: 'removed', kind: 'co-leader', by: named(by), to: named(partner), note: '' } as const;
    oweLeading(tx, oweContext(services), walk, { event: `removed:${walk.id}:${personId}:${services.now()}`, to: personId, said });
  });
  services.mailOwed();
}

/** A co-leader steps back, and the leader is told. */
export function stepBack(services: Services, walk: WalkRow, by: Named): void {
  services.db.write((tx) => {
    if (!removeCoLeader(tx, walk.id, by.personId)) return;
    const [leader] = partsOf(tx, walk.id);
    if (!leader?.approved) return;
    const said = { news: 'stepped back', kind: 'co-leader', by: named(by), to: named(leader), note: '' } as const;
    const event = `stepped-back:${walk.id}:${by.personId}:${services.now()}`;
    oweLeading(tx, oweContext(services), walk, { event, to: leader.personId, said });
  });
  services.mailOwed();
}

/** A coordinator makes an approved co-leader the leader, without asking; they are told. Nothing changes where they are none. */
export function makeLeader(services: Services, walkId: number, personId: number, by: Named): void {
  services.db.write((tx) => {
    const walk = walkById(tx, walkId);
    const [leader, ...others] = partsOf(tx, walkId);
    const next = others.find((one) => one.personId === personId && one.approved);
    if (!walk || !leader || !next || !mayChangeLeaders(walk, services.now())) return;
    const context = oweContext(services);
    // Whoever led it shares it: nobody asked them whether they would go.
    handOver(tx, context, walk, { to: personId, by: by.personId, arranged: by.personId, stays: true });
    const said = { news: 'made leader', kind: 'hand-over', by: named(by), to: named(next), note: '' } as const;
    oweLeading(tx, context, walk, { event: `made-leader:${walkId}:${walk.version + 1}`, to: personId, said });
  });
  services.mailOwed();
}
