package takewright.library.sample;

import takewright.audio.Recording;
import takewright.audio.WavChunks;
import takewright.denoise.room.NoiseProfile;

/**
 * What the sample of one microphone is made of.
 *
 * @param recording the microphone's recording of the take
 * @param profile its room tone; null where there is none in the take
 * @param text what its file says
 * @param keys the keys that it will most likely have; null for its root alone
 */
record SampleSource(
    Recording recording, NoiseProfile profile, SampleText text, WavChunks.Instrument keys) {}
