/**
 * Audio in memory and in files: a clip, a source that gives it block by block, and reading WAV,
 * AIFF and FLAC with the chunks beside the audio. A recording may be several files that continue
 * each other, some channels of them, or a part.
 */
package takewright.audio;
