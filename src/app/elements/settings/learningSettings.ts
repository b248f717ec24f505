// Settings of learning: the method and what it means, passes, solver, adaptation, the best possible drive.
import { html, nothing } from 'lit';
import {
  type AdaptationKind,
  startAdaptation,
  startForwardModel,
} from '../../../../shared/schema/predistorterStarts.ts';
import type { PredistorterSettings } from '../../../../shared/schema/scenario.ts';
import { tellEdit } from '../events.ts';
import { choiceLine, switchLine } from './choiceLine.ts';
import { fieldOf, listOf, type SettingsContext } from './context.ts';

const PATH = 'predistorter.learning';

type Learning = PredistorterSettings['learning'];

/** What a method does, in one line. */
const METHODS: Readonly<Record<Learning['method'], readonly [name: string, meaning: string]>> = {
  indirect: ['indirect', 'Fits the inverse behind the amplifier and copies it in front.'],
  forwardModel: [
    'forward model',
    'Fits the amplifier, then inverts the fit: observation noise does not shrink the inverse.',
  ],
  direct: ['direct, damped', 'Corrects the coefficients by a share of the output error, pass after pass.'],
};

const BASES = [
  ['monomial', 'powers'],
  ['gaussian', 'orthogonal, Gaussian'],
  ['uniform', 'orthogonal, uniform'],
] as const;

const SOLVERS = [
  ['cholesky', 'Cholesky'],
  ['qr', 'QR'],
] as const;

const ADAPTATIONS = [
  ['none', 'all samples at once'],
  ['lms', 'sample by sample, LMS'],
  ['rls', 'sample by sample, RLS'],
] as const;

const DAMPING = { slider: { minimum: 0.05, maximum: 1, step: 0.05 } };
const BEST_DRIVE_PASSES = 8;

function modelSettings(context: SettingsContext, { method, forwardModel }: Learning) {
  if (method !== 'forwardModel') return nothing;
  const path = `${PATH}.forwardModel`;
  return html`
    ${switchLine('Set the fitted amplifier’s structure', forwardModel !== null, (isOn, element) =>
      tellEdit(element, path, isOn ? startForwardModel() : null, false),
    )}
    ${
      forwardModel === null
        ? nothing
        : html`${listOf(context, `${path}.nonlinearOrders`, 'numbers', 'Orders of the fitted amplifier', 'rising, separated by commas')}
          ${fieldOf(context, `${path}.memoryDepth`, { caption: 'Memory depth of it', hasSlider: true })}`
    }
  `;
}

function adaptationSettings(context: SettingsContext, { adaptation }: Learning) {
  const path = `${PATH}.adaptation`;
  return html`
    ${choiceLine({
      id: 'adaptation',
      label: 'Fit',
      choices: ADAPTATIONS,
      chosen: adaptation?.kind ?? 'none',
      onChoice: (kind, element) =>
        tellEdit(element, path, kind === 'none' ? null : startAdaptation(kind as AdaptationKind), false),
    })}
    ${adaptation?.kind === 'lms' ? fieldOf(context, `${path}.stepRatio`) : nothing}
    ${adaptation?.kind === 'rls' ? fieldOf(context, `${path}.forgettingRatio`) : nothing}
  `;
}

/** A fit at once has a solver; the basis is one of polynomials. */
function fitSettings(context: SettingsContext, { kind, learning }: PredistorterSettings) {
  return html`
    ${fieldOf(context, `${PATH}.ridge`)}
    ${learning.adaptation === null ? fieldOf(context, `${PATH}.solver`, { choices: SOLVERS }) : nothing}
    ${
      kind === 'envelopeTable' && learning.basis === 'monomial'
        ? nothing
        : fieldOf(context, `${PATH}.basis`, { choices: BASES, caption: 'Basis' })
    }
  `;
}

export function learningSettings(context: SettingsContext, predistorter: PredistorterSettings) {
  const { learning } = predistorter;
  return html`
    <h3>Learning</h3>
    ${choiceLine({
      id: 'method',
      label: 'Method',
      choices: Object.entries(METHODS).map(([method, [name]]) => [method, name]),
      chosen: learning.method,
      onChoice: (method, element) => tellEdit(element, `${PATH}.method`, method, false),
      meaning: METHODS[learning.method]?.[1] ?? '',
    })}
    ${modelSettings(context, learning)}
    ${fieldOf(context, `${PATH}.passCount`, { hasSlider: true })}
    ${learning.method === 'direct' ? fieldOf(context, `${PATH}.dampingRatio`, DAMPING) : nothing}
    ${fieldOf(context, `${PATH}.driveCeilingRatio`, { hasSlider: true })}
    ${fieldOf(context, `${PATH}.trainingSampleCount`)}
    ${adaptationSettings(context, learning)} ${fitSettings(context, predistorter)}
    ${switchLine('Compare with the best possible drive', learning.bestDrivePassCount !== 0, (isOn, element) =>
      tellEdit(element, `${PATH}.bestDrivePassCount`, isOn ? BEST_DRIVE_PASSES : 0, false),
    )}
    ${learning.bestDrivePassCount === 0 ? nothing : fieldOf(context, `${PATH}.bestDrivePassCount`)}
  `;
}
