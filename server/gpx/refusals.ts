const AGAIN = 'Export it again as GPX 1.1.';

/** Why a file is refused, each with what to do about it. */
export const REFUSED = {
  empty: 'This file is empty. Choose the GPX file of the route.',
  noGpx: `This is no GPX file. ${AGAIN}`,
  webPage: 'This is a web page, not a GPX file. Look for "export" or "download GPX" on that page, and choose the file it gives.',
  archive: 'This is a compressed file. Unpack it, and choose the GPX file inside.',
  damaged: `This file has bytes that no text has: it is damaged, or no GPX file. ${AGAIN}`,
  doctype: `This file has a DOCTYPE, which may hide anything and belongs in no GPX file. ${AGAIN}`,
  noTrack: `This file has no track and no route. Choose the one that holds the way itself. ${AGAIN}`,
  onlyWaypoints: 'This file has only single places (waypoints), no track and no route. Export the way itself as GPX 1.1.',
  tooFewPoints: `This file has fewer than two different points in a row, which make no way. ${AGAIN}`,
  tooLong: 'This file takes too long to read. Export the route with fewer points, as GPX 1.1.',
  tooMuch: 'This file could not be read. Export the route with fewer points, as GPX 1.1.',
  busy: 'Several files are being read just now. Please try again in a moment.',
  stopping: 'Waymeet is being restarted. Please try again in a moment.',
} as const;

export const refused = {
  otherFormat: (root: string) => `This file is ${root}, not GPX. ${AGAIN}`,
  encoding: (label: string) =>
    `The file says that it is written in "${label}", which is not known here. Export it again as GPX 1.1 in UTF-8.`,
  undecodable: (label: string) => `This file is not written in ${label}, as it says or seems. Export it again as GPX 1.1 in UTF-8.`,
  broken: (line: number) => `This file can't be understood at line ${line}. ${AGAIN}`,
  breaksOff: (line: number) => `This file breaks off at line ${line}: its end is missing. ${AGAIN}`,
  depth: (most: number, line: number) => `Line ${line} is more than ${most} elements deep, which no GPX file is. ${AGAIN}`,
  attributes: (line: number) => `Line ${line} has an element with more attributes than any GPX file has. ${AGAIN}`,
  points: (most: number) =>
    `This file has more than ${most.toLocaleString('en-US')} points. Export the route with fewer points, or only this one route.`,
  latitude: (line: number) => `Line ${line} has a point whose latitude is missing, or no number from -90 to 90. ${AGAIN}`,
  longitude: (line: number) => `Line ${line} has a point whose longitude is missing, or no number from -180 to 180. ${AGAIN}`,
};
