package takewright.name;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;

/** What a pattern can put into a name. */
enum NameField {
  LIBRARY,
  ARTICULATION,
  LAYER,
  NOTE,
  MIDI,
  DYNAMIC,
  RR;

  static final List<String> WORDS = Arrays.stream(values()).map(NameField::word).toList();

  /** As it stands in patterns. */
  String word() {
    return name().toLowerCase(Locale.ROOT);
  }

  boolean isNumber() {
    return this == MIDI || this == RR;
  }

  /** Whether it says the root note, which some samples do not have. */
  boolean isPitch() {
    return this == NOTE || this == MIDI;
  }

  boolean isText() {
    return !isNumber() && !isPitch();
  }

  /** Digits of the largest number it can hold. */
  int maxWidth() {
    return this == MIDI ? 3 : 4;
  }

  /** The fact for it as it was given; null if there is none. */
  Object of(NameFacts facts) {
    return switch (this) {
      case LIBRARY -> facts.library();
      case ARTICULATION -> facts.articulation();
      case LAYER -> facts.layer();
      case NOTE, MIDI -> facts.midi();
      case DYNAMIC -> facts.dynamic();
      case RR -> facts.rr();
    };
  }
}
