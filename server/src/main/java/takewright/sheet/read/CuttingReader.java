package takewright.sheet.read;

import java.util.Map;
import takewright.sheet.Cutting;

/** Reads how a take is cut. */
final class CuttingReader {
  private static final Key<Boolean> FROM =
      Key.word(
          "from",
          Map.of("markers", true),
          false,
          "Where the regions come from: `markers`, those of the take's WAV files; else they are"
              + " found.");

  private static final Section SECTION = Section.of("cutting", FROM);

  /** Of a take. */
  static final Key<Fields> CUTTING = Key.section("cutting", SECTION, "How the take is cut.");

  private CuttingReader() {}

  static Cutting read(Fields take) {
    Fields cutting = take.get(CUTTING);
    return cutting == null ? Cutting.USUAL : new Cutting(cutting.get(FROM));
  }
}
