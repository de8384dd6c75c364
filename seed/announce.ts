import type { Db } from '../server/db/open.js';
import type { Sealer } from '../server/db/seal.js';
import { signInToken } from '../server/people/links.js';

/**
 * Says each sign-in link as it is asked for, since the demo's mail goes nowhere. A trigger of this connection alone, which leaves
 * nothing in the file; links that could never sign in (their address unknown) are passed over.
 */
export function announceLinks({ db, sealer }: { db: Db; sealer: Sealer }, baseUrl: string, say: (line: string) => void): void {
  db.raw.function('announce_link', (id: number, email: string) => {
    say(`Sign-in link asked for by ${email}, for the browser that asked: ${baseUrl}/sign-in/${signInToken(sealer, id)}`);
    return null;
  });
  db.raw.exec(`CREATE TEMP TRIGGER link_asked_for AFTER INSERT ON main.sign_in_links
    WHEN NEW.browser_hash IS NOT NULL AND NEW.expires_at > NEW.created_at
    BEGIN SELECT announce_link(NEW.id, NEW.email); END`);
}
