package takewright.audit;

import java.nio.file.Path;
import takewright.analyse.SampleFacts;
import takewright.pitch.Pitch;

/**
 * A file of an audited folder, as it is heard.
 *
 * @param path the file
 * @param name its name, in parts
 * @param facts what is heard in it; null if it cannot be read, and {@code problem} says why
 * @param problem what is wrong with it and what to do; null if it can be read
 * @param sampleRate frames a second; 0 if it cannot be read
 * @param channels number of channels; 0 if it cannot be read
 * @param seconds length of what was heard; 0 if it cannot be read
 */
record HeardFile(
    Path path,
    SampleName name,
    SampleFacts facts,
    String problem,
    int sampleRate,
    int channels,
    double seconds) {
  static HeardFile unreadable(Path path, SampleName name, String problem) {
    return new HeardFile(path, name, null, problem, 0, 0, 0);
  }

  Pitch pitch() {
    return facts == null ? null : facts.pitch();
  }
}
