package takewright.library.sample;

import takewright.audio.Recording;
import takewright.denoise.room.NoiseProfile;

/**
 * What the sample of one microphone is made of.
 *
 * @param recording the microphone's recording of the take
 * @param profile its room tone; null where there is none in the take
 * @param description what the sample is, for the file's bext chunk
 */
record SampleSource(Recording recording, NoiseProfile profile, String description) {}
