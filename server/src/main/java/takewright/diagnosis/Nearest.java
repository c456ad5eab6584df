package takewright.diagnosis;

import java.util.Collection;
import java.util.Locale;

/** Finds the known word that an unknown word probably means. */
public final class Nearest {
  private Nearest() {}

  /**
   * The known word that takes the fewest edits to reach: a letter put in, left out, exchanged, or
   * swapped with its neighbour (optimal string alignment distance); case does not count. The first
   * one where several are as near. The beginning of a known word, from three letters, counts as one
   * edit.
   */
  private static String of(String word, Collection<String> words) {
    String typed = cut(word.toLowerCase(Locale.ROOT));
    String best = null;
    int min = Integer.MAX_VALUE;
    for (String candidate : words) {
      String known = candidate.toLowerCase(Locale.ROOT);
      boolean beginning = typed.length() >= 3 && known.startsWith(typed);
      int distance = beginning ? 1 : distance(typed, known);
      if (distance < min) {
        min = distance;
        best = candidate;
      }
    }
    return best;
  }

  /**
   * The known word that was probably meant, or null: where even the nearest needs more edits than a
   * third of its letters, a suggestion would be a guess (common practice).
   */
  public static String ifNear(String word, Collection<String> known) {
    String best = known.isEmpty() ? null : of(word, known);
    if (best == null) {
      return null;
    }
    String typed = cut(word.toLowerCase(Locale.ROOT));
    String near = best.toLowerCase(Locale.ROOT);
    boolean isBeginning = typed.length() >= 3 && near.startsWith(typed);
    int longest = Math.max(typed.length(), near.length());
    return isBeginning || distance(typed, near) <= Math.max(1, longest / 3) ? best : null;
  }

  /**
   * What to do about an unknown word: the known one that was probably meant, or, where none is
   * near, all of them.
   *
   * @param known at least one word
   * @param mark what stands on either side of a word, such as a backquote; may be empty
   */
  public static String remedy(String word, Collection<String> known, String mark) {
    String near = ifNear(word, known);
    return near == null
        ? "use one of " + mark + String.join(mark + ", " + mark, known) + mark
        : "did you mean " + mark + near + mark + "?";
  }

  /** No known word is longer than 40 letters; the rest of a word would only cost time. */
  private static String cut(String word) {
    return word.length() <= 40 ? word : word.substring(0, 40);
  }

  static int distance(String a, String b) {
    int[][] d = new int[a.length() + 1][b.length() + 1];
    for (int i = 0; i <= a.length(); i++) {
      for (int j = 0; j <= b.length(); j++) {
        if (i == 0 || j == 0) {
          d[i][j] = i + j;
          continue;
        }
        int exchange = a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1;
        d[i][j] = Math.min(d[i - 1][j - 1] + exchange, Math.min(d[i - 1][j], d[i][j - 1]) + 1);
        if (i > 1
            && j > 1
            && a.charAt(i - 1) == b.charAt(j - 2)
            && a.charAt(i - 2) == b.charAt(j - 1)) {
          d[i][j] = Math.min(d[i][j], d[i - 2][j - 2] + 1);
        }
      }
    }
    return d[a.length()][b.length()];
  }
}
