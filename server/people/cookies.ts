import type { CookieSerializeOptions } from '@fastify/cookie';
import type { Config } from '../config.js';

type Where = Pick<Config, 'baseUrl'>;

/** A browser keeps a cookie for 400 days at most. The server decides when a session ends, so the cookie itself may stay that long. */
const SESSION_COOKIE_SECONDS = 400 * 24 * 60 * 60;

/** The cookie that holds a session's token. `__Host-` lets no other host set it, but asks for https. */
export function sessionCookie(config: Where): string {
  return named('session', config);
}

/** The cookie of a browser that asked for a sign-in mail: the mailed link signs in there and nowhere else. */
export function askCookie(config: Where): string {
  return named('ask', config);
}

/** What both cookies are set and cleared with: out of reach of scripts, not sent along by another site's forms. */
export function cookieOptions(config: Where): CookieSerializeOptions {
  return { path: '/', httpOnly: true, sameSite: 'lax', secure: isHttps(config) };
}

export function sessionCookieOptions(config: Where): CookieSerializeOptions {
  return { ...cookieOptions(config), maxAge: SESSION_COOKIE_SECONDS };
}

function named(name: string, config: Where): string {
  return isHttps(config) ? `__Host-${name}` : name;
}

function isHttps(config: Where): boolean {
  return config.baseUrl.startsWith('https:');
}
