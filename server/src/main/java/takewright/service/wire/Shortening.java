package takewright.service.wire;

import java.nio.charset.StandardCharsets;
import takewright.diagnosis.Place;
import takewright.diagnosis.Problem;

/** Takes the middle out of long texts. Both ends tell what was given; the middle seldom does. */
final class Shortening {
  private static final String ELLIPSIS = "\u2026";
  private static final int ELLIPSIS_BYTES = 3;

  private Shortening() {}

  /** A problem none of whose texts takes more than this many bytes of UTF-8, at least 8. */
  static Problem of(Problem problem, int maxBytes) {
    Place place = problem.place();
    return new Problem(
        problem.reason(),
        text(problem.field(), maxBytes),
        place == null
            ? null
            : new Place(text(place.file(), maxBytes), place.line(), text(place.key(), maxBytes)),
        text(problem.what(), maxBytes),
        text(problem.remedy(), maxBytes));
  }

  /** The text, shortened in its middle to {@code maxBytes} bytes of UTF-8; no code point is cut. */
  static String text(String text, int maxBytes) {
    if (text.getBytes(StandardCharsets.UTF_8).length <= maxBytes) {
      return text;
    }
    int half = (maxBytes - ELLIPSIS_BYTES) / 2;
    int head = 0;
    for (int left = half; (left -= bytes(text.codePointAt(head))) >= 0; ) {
      head += Character.charCount(text.codePointAt(head));
    }
    int tail = text.length();
    for (int left = half; (left -= bytes(text.codePointBefore(tail))) >= 0; ) {
      tail -= Character.charCount(text.codePointBefore(tail));
    }
    return text.substring(0, head) + ELLIPSIS + text.substring(tail);
  }

  private static int bytes(int codePoint) {
    return codePoint < 0x80 ? 1 : codePoint < 0x800 ? 2 : codePoint < 0x10000 ? 3 : 4;
  }
}
