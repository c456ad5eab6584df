package takewright.library.sample;

import takewright.audio.Recording;
import takewright.denoise.room.NoiseProfile;

/**
 * What the sample of one microphone is made of.
 *
 * @param recording the microphone's recording of the take
 * @param profile its room tone; null where there is none in the take
 * @param text what its file says
 */
record SampleSource(Recording recording, NoiseProfile profile, SampleText text) {}
