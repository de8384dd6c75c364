const MOST_CHARACTERS = 2000;

/**
 * Where to go after signing in, as a path on this site; null for anything that would lead elsewhere or back to sign-in.
 * Asked of the URL parser, because browsers take `/\host` and `//host` for another host; leading slashes are made one, because
 * `/.//host` has this origin and the path `//host`.
 */
export function safeNext(next: string | null | undefined, baseUrl: string): string | null {
  if (!next || next.length > MOST_CHARACTERS || !URL.canParse(next, baseUrl)) return null;
  const url = new URL(next, baseUrl);
  if (url.origin !== new URL(baseUrl).origin) return null;
  const path = url.pathname.replace(/^\/+/, '/');
  if (path === '/sign-in' || path.startsWith('/sign-in/') || path.startsWith('/sign-out')) return null;
  return path + url.search + url.hash;
}
