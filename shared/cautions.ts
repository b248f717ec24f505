// The usual cautions, shown by every face of the tool. They defer to local rules and licensed practice.

/** Always shown next to figures. */
export const SIMULATION_CAUTION =
  'A simulation is not a measurement: a behavioural model knows one amplifier at one temperature and load. Plan and explain with it; release nothing on it.';

export const cautions: readonly string[] = [
  SIMULATION_CAUTION,
  'RF burns: a few watts burn skin at connectors and open ends. Never make or break a connector under power; terminate in a rated load first and check attenuators for peak power.',
  'Exposure: keep people outside the distance your local exposure rules ask for, near any antenna or open port. A competent person calculates it for the antenna used.',
  'Licences: transmit only where and with what you are authorised. Test into a load or in a screened room first; the local spectrum authority decides, not this tool.',
  'Out-of-band emission: a predistorted drive carries deliberate energy outside the channel, and wrong or stale coefficients can be worse than none. Keep a drive limiter, a power interlock and an uncorrected fallback.',
  'Protect the amplifier: correction can raise drive peaks by 3 to 6 dB. Check driver and device ratings, and isolate the amplifier from open or poor loads.',
  'Protect receivers and analysers: the powers shown destroy unprotected inputs. Attenuate, limit and check twice.',
  'Limits shipped are examples with their source and date: look up the current text, and follow local rules and licensed practice where they differ.',
];
