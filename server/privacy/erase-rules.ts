import type { Faults } from '../web/forms.js';

/** What stands in the way of erasing somebody. */
export interface Standing {
  /** Walks they lead that are not over, as they are named. */
  leads: string[];
  lastCoordinator: boolean;
}

/** Why somebody can't be erased now, a sentence each; none where they can. Pure. */
export function eraseFaults({ leads, lastCoordinator }: Standing, sure: boolean): Faults {
  const faults: Faults = {};
  if (leads.length > 0) {
    const walks =
      leads.length === 1 ? `${leads[0]}. Hand it over or cancel it first` : `${leads.length} walks. Hand them over or cancel them first`;
    faults.leads = `You lead ${walks}; one that is under way must be over.`;
  }
  if (lastCoordinator) faults.coordinator = 'You are the only coordinator: the group would have nobody. Bring in another one first.';
  if (!sure && Object.keys(faults).length === 0) faults.sure = 'Tick that you are sure.';
  return faults;
}
