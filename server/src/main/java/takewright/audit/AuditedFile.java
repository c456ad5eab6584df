package takewright.audit;

import java.nio.file.Path;
import takewright.analyse.SampleFacts;
import takewright.audit.SampleName.Token;
import takewright.diagnosis.Flag;
import takewright.pitch.Pitch;

/** One file of an audit: its name, what is heard, and the findings. */
final class AuditedFile {
  final Path path;
  final SampleName name;

  /** Null if it cannot be read; then {@code problem} says why. */
  SampleFacts facts;

  String problem;
  int sampleRate;
  double seconds;
  int channels;

  /** The part of the name that holds the note, and the note; null for none. */
  Token token;

  Integer says;
  SampleName.Rest rest;
  boolean wrongNote;

  AuditedFile(Path path, SampleName name) {
    this.path = path;
    this.name = name;
  }

  String file() {
    return name.file();
  }

  Pitch pitch() {
    return facts == null ? null : facts.pitch();
  }

  /** The pitch heard, in semitones above MIDI note 0; NaN for none. */
  double semitones() {
    return pitch() == null ? Double.NaN : pitch().midi() + pitch().cents() / 100;
  }

  /** Its place in pitch: as heard, or by name if no pitch is heard. */
  double place() {
    if (pitch() != null) {
      return semitones();
    }
    return says == null ? 60 : says;
  }

  boolean flagged(Flag flag) {
    return facts != null && facts.flags().contains(flag);
  }
}
