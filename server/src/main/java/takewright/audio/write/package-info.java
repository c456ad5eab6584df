/**
 * Writing WAV files: what stands before and behind the audio, dither, RF64 beyond 4 GiB, and new
 * keys in a file that is there already.
 */
package takewright.audio.write;
