import { type Place, SealBroken, type Sealer } from '../db/seal.js';
import type { Services } from '../services.js';
import type { IncidentKind } from './words.js';

/** What is written down of an incident: sealed as a whole. */
export interface IncidentRecord {
  kind: IncidentKind;
  /** The name as it was then: the roll's, or what was typed of somebody else. */
  name: string;
  /** "start", "finish", "stop 2", or empty where only `whereText` says it. */
  where: string;
  whereText: string;
  /** Wall time of the walk's zone. */
  date: string;
  time: string;
  what: string;
  done: string;
  /** Whether the emergency services were called. */
  called: boolean;
  /** By whom it was seen. */
  seenBy: string;
  /** The leader thinks that somebody should look into it further. */
  needsMore: boolean;
}

export function recordPlace(versionId: number): Place {
  return { table: 'incident_versions', column: 'record_sealed', row: versionId };
}

export function notePlace(noteId: number): Place {
  return { table: 'incident_notes', column: 'note_sealed', row: noteId };
}

/** Opens a sealed record; null, and logged, where it does not open. Whoever shows it writes that down. */
export function openRecord(services: Pick<Services, 'sealer' | 'log'>, id: number, sealed: Buffer): IncidentRecord | null {
  return opened(services, recordPlace(id), sealed) as IncidentRecord | null;
}

/** The same of a note's text. */
export function openNote(services: Pick<Services, 'sealer' | 'log'>, id: number, sealed: Buffer): string | null {
  return opened(services, notePlace(id), sealed) as string | null;
}

function opened({ sealer, log }: { sealer: Sealer; log: Services['log'] }, place: Place, sealed: Buffer): unknown {
  try {
    return sealer.open(place, sealed);
  } catch (error) {
    if (!(error instanceof SealBroken)) throw error;
    log.error(place, error.message);
    return null;
  }
}
