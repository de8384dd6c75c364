import type { IncomingHttpHeaders } from 'node:http';

/**
 * Whether a request for the sign-in sheet is someone's own wish to see emergency contacts, so that opening them may be written down as
 * theirs. Not a look ahead by the browser, nor a request that another site caused, nor one that asks for the sheet without them. Browsers
 * say which it is (Fetch Metadata: Sec-Fetch-Site, Sec-Purpose; formerly Purpose); other programs say nothing, and mean it. Pure.
 */
export function asksForContacts(request: { method: string; headers: IncomingHttpHeaders; query: unknown }): boolean {
  const { method, headers, query } = request;
  if (method !== 'GET') return false;
  const purpose = [headers['sec-purpose'], headers.purpose, headers['x-moz']].flat().join().toLowerCase();
  if (purpose.includes('prefetch')) return false;
  const from = headers['sec-fetch-site'];
  if (from !== undefined && from !== 'same-origin' && from !== 'none') return false;
  return ![(query as Record<string, unknown>).contacts].flat().includes('no');
}
