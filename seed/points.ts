/** A place to gather, with a landmark exact enough to stand beside. */
export interface Point {
  meetingPoint: string;
  landmark: string;
  lat: number;
  lon: number;
}

const point = (meetingPoint: string, landmark: string, lat: number, lon: number): Point => ({ meetingPoint, landmark, lat, lon });

export const POINTS = {
  oldMill: point('Old mill car park', 'the iron water wheel by the ticket machine', 37.62618, -85.40942),
  wrightGreen: point('Wheelwright Green', 'the bandstand steps, side facing the clock', 37.62107, -85.40185),
  ropeBridge: point('Rope bridge trailhead', 'the brown map board under the twin oaks', 37.64433, -85.43116),
  sluice: point('Sluice House', 'the red lock gate, town side', 37.61552, -85.42037),
  ferrySteps: point('Ferry steps', 'the black anchor on the quay', 37.81327, -85.11564),
  harborHall: point('Harbor Hall', 'the bell post beside the main doors', 37.81066, -85.12118),
  saltLane: point('Salt Lane lot', 'the blue bottle bank at the far end', 37.82495, -85.10243),
  heron: point('Heron Point', 'the bench with the carved heron', 37.79871, -85.13657),
  lampFactory: point('Old lamp factory', 'the brick chimney with the white band', 37.43982, -85.62873),
  chapelGate: point('Chapel gate', 'the stone mounting block left of the gate', 37.44735, -85.64311),
  hillStation: point('Hilltop fire station', 'the flagpole on the lawn, not the driveway', 37.42846, -85.6172),
  lanternPark: point('Lantern Park', 'the drinking fountain by the playground fence', 37.43511, -85.63498),
  kilnLot: point('Kiln lot', 'the beehive kiln with the green door', 37.58493, -86.42615),
  northLake: point('North lake boat ramp', 'the yellow life-ring post', 37.59904, -86.41278),
  stoneYard: point('Stone yard', 'the block with the number 40 cut into it', 37.57238, -86.43802),
  forkStore: point('Fork general store', 'the porch with the two green rockers', 37.33087, -86.70744),
  grange: point('Grange hall', 'the hand pump by the hitching rail', 37.31865, -86.72391),
} as const satisfies Record<string, Point>;
