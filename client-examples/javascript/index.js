export { Client, TIMEOUT_S, isLoopback, tokenFileOf } from './client.js';
export { follow } from './follow.js';
export { Problem } from './problem.js';
export { Sound, WavFile, WavWriter } from './wav.js';
