import type { NewName, RollState, SentEntry } from '../contract.js';

/** What this browser keeps of rolls: names and ids, nothing else. In IndexedDB, because localStorage may lose the last tap with its tab. */
export interface Kept {
  read: (walk: number) => Promise<KeptRoll>;
  keepState: (walk: number, state: RollState, clockAhead: number) => Promise<void>;
  /** Resolves when the disk has them. */
  keepUnsent: (walk: number, entries: SentEntry[], names: NewName[]) => Promise<void>;
  dropUnsent: (walk: number, entries: string[], keys: string[]) => Promise<void>;
  /** The walks of which something is kept, when each was last heard of, and how much of it is not sent. */
  rolls: () => Promise<{ walk: number; keptAt: number; unsent: number }[]>;
  forget: (walk: number) => Promise<void>;
  /** Forgets what the service said; what it has not heard stays. */
  forgetState: (walk: number) => Promise<void>;
  forgetAll: () => Promise<void>;
  /** This browser's own name, made once. */
  device: (made: string) => Promise<string>;
}

export interface KeptRoll {
  state: RollState | null;
  clockAhead: number;
  unsent: SentEntry[];
  names: NewName[];
}

const NAME = 'waymeet-roll';
/** Some browsers neither open the store nor say that they won't. */
const OPENED_MS = 3000;

interface RollRow {
  walk: number;
  state: RollState;
  clockAhead: number;
  keptAt: number;
}

/** The browser's store, or null where it gives none: a private window, a full phone. */
export async function openKept(): Promise<Kept | null> {
  try {
    const db = await Promise.race([open(), new Promise<null>((resolve) => setTimeout(() => resolve(null), OPENED_MS))]);
    return db && keptIn(db);
  } catch {
    return null; // what is said then stands on the page
  }
}

function open(): Promise<IDBDatabase> {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore('rolls', { keyPath: 'walk' });
    request.result.createObjectStore('unsent', { keyPath: ['walk', 'entry'] });
    request.result.createObjectStore('names', { keyPath: ['walk', 'key'] });
    request.result.createObjectStore('device', { keyPath: 'id' });
  };
  return answered(request).then((db) => {
    // A newer page, or signing out in another tab, may want the store for itself.
    db.onversionchange = () => db.close();
    return db;
  });
}

function answered<Found>(request: IDBRequest<Found>): Promise<Found> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function done(tx: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    tx.oncomplete = () => resolve();
    tx.onabort = () => reject(tx.error);
    tx.onerror = () => reject(tx.error);
  });
}

const STORES = ['rolls', 'unsent', 'names'];
/** All keys that begin with the walk's number: an array sorts after every number and text. */
const ofWalk = (walk: number) => IDBKeyRange.bound([walk], [walk, []]);

function keptIn(db: IDBDatabase): Kept {
  const write = (stores: string[], change: (store: (name: string) => IDBObjectStore) => void) => {
    const tx = db.transaction(stores, 'readwrite', { durability: 'strict' });
    change((name) => tx.objectStore(name));
    return done(tx);
  };
  const all = <Row>(name: string) => answered<Row[]>(db.transaction(name).objectStore(name).getAll());
  return {
    read: async (walk) => {
      // In one transaction, so that nothing is said between the queue and the roll.
      const tx = db.transaction(STORES);
      const [row, unsent, names] = await Promise.all([
        answered<RollRow | undefined>(tx.objectStore('rolls').get(walk)),
        answered<(SentEntry & { walk: number })[]>(tx.objectStore('unsent').getAll(ofWalk(walk))),
        answered<(NewName & { walk: number })[]>(tx.objectStore('names').getAll(ofWalk(walk))),
      ]);
      return {
        state: row?.state ?? null,
        clockAhead: row?.clockAhead ?? 0,
        unsent: unsent.map(({ walk: _, ...entry }) => entry).sort((a, b) => a.at - b.at),
        names: names.map(({ key, name }) => ({ key, name })),
      };
    },
    keepState: (walk, state, clockAhead) =>
      write(['rolls'], (store) => void store('rolls').put({ walk, state, clockAhead, keptAt: Date.now() } satisfies RollRow)),
    keepUnsent: (walk, entries, names) =>
      write(['unsent', 'names'], (store) => {
        for (const entry of entries) store('unsent').put({ ...entry, walk });
        for (const name of names) store('names').put({ ...name, walk });
      }),
    dropUnsent: (walk, entries, keys) =>
      write(['unsent', 'names'], (store) => {
        for (const entry of entries) store('unsent').delete([walk, entry]);
        for (const key of keys) store('names').delete([walk, key]);
      }),
    rolls: async () => {
      const unsent = [...(await all<{ walk: number }>('unsent')), ...(await all<{ walk: number }>('names'))];
      const heard = new Map((await all<RollRow>('rolls')).map(({ walk, keptAt }) => [walk, keptAt]));
      const walks = new Set([...heard.keys(), ...unsent.map(({ walk }) => walk)]);
      return [...walks].map((walk) => ({
        walk,
        keptAt: heard.get(walk) ?? 0,
        unsent: unsent.filter((one) => one.walk === walk).length,
      }));
    },
    forget: (walk) =>
      write(STORES, (store) => {
        store('rolls').delete(walk);
        store('unsent').delete(ofWalk(walk));
        store('names').delete(ofWalk(walk));
      }),
    forgetState: (walk) => write(['rolls'], (store) => void store('rolls').delete(walk)),
    forgetAll: () => write([...STORES, 'device'], (store) => [...STORES, 'device'].forEach((name) => void store(name).clear())),
    device: async (made) => {
      const tx = db.transaction('device', 'readwrite');
      const store = tx.objectStore('device');
      const known = (await answered(store.get('this'))) as { name: string } | undefined;
      if (!known) store.put({ id: 'this', name: made });
      await done(tx);
      return known?.name ?? made;
    },
  };
}
