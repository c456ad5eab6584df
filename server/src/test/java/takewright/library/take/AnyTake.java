package takewright.library.take;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Path;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;
import takewright.testing.HeldTone;

/** A take of an invented sheet, where it does not matter what the sheet says, and its notes. */
final class AnyTake {
  /** Its sample rate, in hertz. */
  static final int RATE = 48_000;

  private AnyTake() {}

  static Take read() {
    try {
      return SheetReader.read(
              Path.of("/nowhere/session.yaml"),
              "library: Invented\ntakes: [{file: take.wav, articulation: a, notes: C4..C5}]\n")
          .takes()
          .get(0);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /**
   * A note of two seconds, one of which begins every three seconds.
   *
   * @param index how many are before it
   * @param blemishes what is heard beside it
   */
  static Region note(int index, int midi, Blemishes blemishes, Flag... flags) {
    long at = 3L * RATE * index;
    return new Region(
        at,
        at,
        at + 2 * RATE,
        Kind.PITCHED,
        Pitch.of(HeldTone.hz(midi), 440, 1),
        1,
        false,
        Set.of(flags),
        -10,
        -18,
        blemishes,
        null);
  }
}
