import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Services } from '../services.js';
import { isInstalled } from '../settings/store.js';
import type { Views } from './render.js';
import type { Assets } from './site.js';
import type { Visitor } from './visitor.js';

declare module 'fastify' {
  interface FastifyInstance {
    pages: Pages;
  }
}

/** What turns a page's own model into a whole page. */
export interface Pages {
  views: Views;
  assets: Assets;
  services: Services;
}

export interface PageModel {
  title: string;
  /** The page refuses a form: its title begins "Error:". */
  errorTitle?: boolean;
  /** The page is one form: a narrow column. */
  narrow?: boolean;
  noindex?: boolean;
  /** schema.org data for search engines. */
  jsonLd?: unknown;
  /** A script that adds to the page; it works without. */
  script?: string;
  [name: string]: unknown;
}

/** Answers with a page. The visitor's name, menu and form token are added here. */
export function page(request: FastifyRequest, reply: FastifyReply, view: string, model: PageModel): FastifyReply {
  const visitor = (request.visitor as Visitor | null) ?? { person: null, csrf: '' };
  const html = pageHtml(request.server.pages, visitor, request.url, view, model);
  if (visitor.person) reply.header('Cache-Control', 'no-store');
  return reply.type('text/html; charset=utf-8').send(html);
}

export function pageHtml(pages: Pages, visitor: Visitor, url: string, view: string, model: PageModel): string {
  const settings = pages.services.settings();
  const path = url.split('?')[0] ?? '/';
  const shared = {
    lang: settings.locale.split('-')[0],
    site: { css: pages.assets.css.href, font: pages.assets.font.href, icon: pages.assets.icon.href, groupName: settings.groupName },
    nav: isInstalled(settings) ? menu(visitor, path) : [],
    coordinateMenu: COORDINATE_MENU.map((item) => ({ ...item, current: item.href === path })),
    person: visitor.person,
    // Who leads walks may have a roll on this phone.
    signOutScript: visitor.person?.leader || visitor.person?.coordinator ? pages.assets.signOut.href : null,
    csrf: visitor.csrf,
  };
  const body = pages.views.render(view, { ...shared, ...model });
  return pages.views.render('layouts/page', { ...shared, ...model, body });
}

const COORDINATE_MENU = [
  { href: '/coordinate', label: 'Coverage' },
  { href: '/coordinate/proposals', label: 'Proposals' },
  { href: '/coordinate/leaders', label: 'Leaders' },
  { href: '/coordinate/incidents', label: 'Incidents' },
  { href: '/coordinate/areas', label: 'Areas' },
  { href: '/coordinate/season', label: 'Season' },
  { href: '/coordinate/report', label: 'Report' },
  { href: '/coordinate/texts', label: 'Texts' },
  { href: '/coordinate/quiz', label: 'Quiz' },
  { href: '/coordinate/walkers', label: 'Walkers' },
  { href: '/coordinate/mail', label: 'Mail' },
  { href: '/coordinate/settings', label: 'Settings' },
];

function menu({ person }: Visitor, path: string): { href: string; label: string; current: boolean }[] {
  const items = [{ href: '/', label: 'Walks' }];
  items.push({ href: '/areas', label: 'Areas' });
  if (person?.leader) items.push({ href: '/lead', label: 'Lead' });
  if (person?.coordinator) items.push({ href: '/coordinate', label: 'Coordinate' });
  items.push(person ? { href: '/me', label: 'You' } : { href: '/sign-in', label: 'Sign in' });
  return items.map((item) => ({ ...item, current: isUnder(path, item.href) }));
}

function isUnder(path: string, href: string): boolean {
  if (href === '/') return path === '/' || path.startsWith('/walks');
  return path === href || path.startsWith(`${href}/`);
}
