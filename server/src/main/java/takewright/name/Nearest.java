package takewright.name;

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
   *
   * @param known at least one word
   */
  public static String of(String word, Collection<String> known) {
    String typed = cut(word.toLowerCase(Locale.ROOT));
    String best = null;
    int min = Integer.MAX_VALUE;
    for (String candidate : known) {
      boolean beginning = typed.length() >= 3 && candidate.startsWith(typed);
      int distance = beginning ? 1 : distance(typed, candidate);
      if (distance < min) {
        min = distance;
        best = candidate;
      }
    }
    return best;
  }

  /**
   * The same, or null where even the nearest needs more edits than a slip of the hand or ear makes.
   */
  public static String ifNear(String word, Collection<String> known) {
    String best = known.isEmpty() ? null : of(word, known);
    if (best == null) {
      return null;
    }
    String typed = cut(word.toLowerCase(Locale.ROOT));
    boolean isBeginning = typed.length() >= 3 && best.startsWith(typed);
    int longest = Math.max(typed.length(), best.length());
    return isBeginning || distance(typed, best) <= Math.max(1, longest / 3) ? best : null;
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
