package takewright.audit;

import java.nio.file.Path;
import java.util.List;
import takewright.analyse.SampleFacts;
import takewright.audit.SampleName.Token;
import takewright.diagnosis.Flag;
import takewright.dsp.Medians;
import takewright.pitch.Pitch;

/**
 * A file of an audited folder: what is heard in it, and what its name says.
 *
 * @param heard what is heard
 * @param token the part of the name that holds the note; null for none
 * @param says the note that the name says, as a MIDI note number; null for none
 * @param rest what else the name says
 * @param tuningCents how far above the reference the folder as a whole is tuned: a note is another
 *     one if it is far from where this folder has it
 */
record AuditedFile(
    HeardFile heard, Token token, Integer says, SampleName.Rest rest, double tuningCents) {
  /** Beyond this a sample is another note; up to it, it is out of tune, in cents. */
  private static final double ANOTHER_NOTE = 65;

  private static final double QUARTER_TONE = 50;

  /**
   * In a sample of fewer periods the octave is uncertain, and so is the absence of a pitch: half of
   * a bowed staccato on a low string is attack.
   */
  private static final double MIN_PERIODS = 80;

  static AuditedFile of(HeardFile heard, NoteReading reading) {
    Token token = reading.token(heard.name());
    Integer says = token == null ? null : reading.midi(token);
    return new AuditedFile(heard, token, says, heard.name().rest(token), 0);
  }

  /** The files of a folder, with its own tuning: the median of how far they are off their names. */
  static List<AuditedFile> all(List<HeardFile> heard, NoteReading reading) {
    List<AuditedFile> files = heard.stream().map(file -> of(file, reading)).toList();
    double[] off =
        files.stream()
            .mapToDouble(AuditedFile::centsOff)
            .filter(cents -> Math.abs(cents) < QUARTER_TONE)
            .toArray();
    double tuning = off.length == 0 ? 0 : Medians.of(off);
    return files.stream()
        .map(f -> new AuditedFile(f.heard, f.token, f.says, f.rest, tuning))
        .toList();
  }

  String file() {
    return heard.name().file();
  }

  Path path() {
    return heard.path();
  }

  SampleName name() {
    return heard.name();
  }

  SampleFacts facts() {
    return heard.facts();
  }

  Pitch pitch() {
    return heard.pitch();
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
    return facts() != null && facts().flags().contains(flag);
  }

  /**
   * How far it sounds above the note in its name as the folder is tuned, in cents; NaN where one of
   * them is not known.
   */
  double centsOff() {
    return says == null ? Double.NaN : 100 * (semitones() - says) - tuningCents;
  }

  /** The MIDI note that is heard, as the folder is tuned. */
  int sounds() {
    return (int) Math.round(semitones() - tuningCents / 100);
  }

  /** By how many octaves alone it is off the note in its name; 0 where it is off otherwise. */
  long octavesOff() {
    long octaves = Math.round(centsOff() / 1200);
    return Math.abs(centsOff() - 1200 * octaves) <= ANOTHER_NOTE ? octaves : 0;
  }

  /** Whether another note is heard than the name says. */
  boolean isWrongNote() {
    return Math.abs(centsOff()) > ANOTHER_NOTE && !(octavesOff() != 0 && isBrief());
  }

  /** Whether a sample has only a few periods of the note in its name. */
  boolean isBrief() {
    double hertz = 440 * Math.pow(2, (says - 69) / 12.0);
    return heard.seconds() * hertz < MIN_PERIODS;
  }
}
