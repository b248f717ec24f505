// A model held against a second pair of records: predicted, never fitted. Delay, one complex gain, leak and image of the
// second observation are its receiver's and are taken out.
import type { ValidationReading } from '../../../shared/schema/identificationReport.ts';
import type { AmplifierModelSettings } from '../../../shared/schema/scenario.ts';
import { type ComplexSignal, meanPower } from '../dsp/complex.ts';
import { alignWithOutput } from '../identification/alignPair.ts';
import { gather } from '../identification/samplePart.ts';
import { predict } from './identifiedModel.ts';
import { type CheckedPair, windowsOf } from './identifyChecks.ts';
import { nmseDb, pairReading, predictedChannels } from './identifyReadings.ts';

export function validateModel(
  model: AmplifierModelSettings,
  checked: CheckedPair,
  heldOutNmseDb: number,
): ValidationReading {
  const { drive, observed } = checked.pair;
  const windows = windowsOf(checked);
  const { output, heldSampleRatio } = predict(model, drive);
  const found = alignWithOutput(output, observed.signal, windows);
  const error = nmseDb(found.clean, output, windows);
  const [sent, clean, made] = [drive.signal, found.clean, output].map((signal) => gather(signal, windows)) as [
    ComplexSignal,
    ComplexSignal,
    ComplexSignal,
  ];
  return {
    nmseDb: error,
    differenceDb: error - heldOutNmseDb,
    alignment: {
      ...pairReading(found, drive.sampleRateHz, meanPower(made)),
      ...(checked.frequencyOffsetHz === 0 ? {} : { frequencyOffsetHz: checked.frequencyOffsetHz }),
    },
    heldSampleRatio,
    aclr: predictedChannels(sent, clean, made, drive.sampleRateHz, checked.isOnePeriod).aclr,
  };
}
