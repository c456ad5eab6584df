package takewright.library.take;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Path;
import takewright.sheet.Take;
import takewright.sheet.read.SheetReader;

/** A take of an invented sheet, where it does not matter what the sheet says. */
final class AnyTake {
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
}
