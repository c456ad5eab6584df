package takewright.diagnosis;

import java.util.Arrays;
import java.util.Collection;
import java.util.Collections;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;

/** Immutable sets of flags, which iterate in the order of {@link Flag}, and their text. */
public final class Flags {
  private Flags() {}

  /** A set of just these. */
  public static Set<Flag> of(Flag... flags) {
    return copyOf(Arrays.asList(flags));
  }

  /** An immutable copy. */
  public static Set<Flag> copyOf(Collection<Flag> flags) {
    EnumSet<Flag> copy = EnumSet.noneOf(Flag.class);
    copy.addAll(flags);
    return Collections.unmodifiableSet(copy);
  }

  /** The set with one more. */
  public static Set<Flag> with(Set<Flag> flags, Flag one) {
    return union(flags, Set.of(one));
  }

  /** The set without some. */
  public static Set<Flag> without(Set<Flag> flags, Flag... some) {
    return without(flags, of(some));
  }

  /** The set without another. */
  public static Set<Flag> without(Set<Flag> flags, Set<Flag> others) {
    EnumSet<Flag> left = EnumSet.noneOf(Flag.class);
    left.addAll(flags);
    left.removeAll(others);
    return Collections.unmodifiableSet(left);
  }

  /** What is in either set. */
  public static Set<Flag> union(Set<Flag> first, Set<Flag> second) {
    EnumSet<Flag> all = EnumSet.noneOf(Flag.class);
    all.addAll(first);
    all.addAll(second);
    return Collections.unmodifiableSet(all);
  }

  /** The words of a set. */
  public static List<String> words(Set<Flag> flags) {
    return flags.stream().map(Flag::word).toList();
  }

  /** A set as one text: its words with spaces between them. */
  public static String text(Set<Flag> flags) {
    return String.join(" ", words(flags));
  }

  /**
   * Reads what {@link #text} wrote.
   *
   * @throws IllegalArgumentException if a word is no flag; the message names it
   */
  public static Set<Flag> parse(String text) {
    EnumSet<Flag> flags = EnumSet.noneOf(Flag.class);
    for (String word : text.split(" ")) {
      if (!word.isEmpty()) {
        flags.add(
            Flag.of(word)
                .orElseThrow(() -> new IllegalArgumentException("\"" + word + "\" is not a flag")));
      }
    }
    return Collections.unmodifiableSet(flags);
  }
}
