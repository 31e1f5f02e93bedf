// British or American terms: crotchet and quarter note, bar and measure. The desk puts its own texts into them when it is asked to.
import { keeper } from './keeper.js';

const kept = keeper('terms');

/** american says whether American terms are wanted. */
export const american = () => kept.get() === 'american';

/** heading and query ask the desk for them. */
export const header = () => (american() ? { 'X-Terms': 'american' } : {});
export const query = path => (american() ? `${path}${path.includes('?') ? '&' : '?'}terms=american` : path);

/** crotchets are so many of them. */
export const crotchets = n => (american() ? (n > 1 ? 'quarter notes' : 'quarter note') : (n > 1 ? 'crotchets' : 'crotchet'));

/** perMinute is the unit of a tempo. */
export const perMinute = () => (american() ? 'quarter notes a minute' : 'crotchets a minute');

/** bars are so many of them. */
export const barWord = n => (american() ? (n === 1 ? 'measure' : 'measures') : (n === 1 ? 'bar' : 'bars'));
