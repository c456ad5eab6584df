package takewright.sheet.read;

import java.util.LinkedHashMap;
import java.util.Map;
import takewright.sheet.Output;
import takewright.sheet.read.yaml.Fields;
import takewright.sheet.read.yaml.Key;
import takewright.sheet.read.yaml.Section;

/** Reads what the files of a library are to be. */
final class OutputReader {
  private static final Key<Integer> SAMPLE_RATE =
      Key.whole(
          "sample_rate", 8000, 192_000, "Hz", Output.DEFAULTS.sampleRate(), "Frames per second.");
  private static final Key<Integer> BIT_DEPTH =
      Key.word("bit_depth", depths(), Output.DEFAULTS.bitDepth(), "Bits per sample.");
  static final Key<Fields> OUTPUT =
      Key.section(
          "output",
          Section.of("`output`", SAMPLE_RATE, BIT_DEPTH),
          "What the sample files are to be.");

  private OutputReader() {}

  static Output output(Fields sheet) {
    Fields fields = sheet.get(OUTPUT);
    return fields == null
        ? Output.DEFAULTS
        : new Output(fields.get(SAMPLE_RATE), fields.get(BIT_DEPTH));
  }

  private static Map<String, Integer> depths() {
    Map<String, Integer> depths = new LinkedHashMap<>();
    depths.put("16", 16);
    depths.put("24", 24);
    depths.put("32", 32);
    return depths;
  }
}
