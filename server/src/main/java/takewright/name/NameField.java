package takewright.name;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;

/** The fields of a pattern. */
enum NameField {
  LIBRARY,
  ARTICULATION,
  LAYER,
  NOTE,
  MIDI,
  DYNAMIC,
  RR;

  static final List<String> WORDS = Arrays.stream(values()).map(NameField::word).toList();

  /** As written in patterns. */
  String word() {
    return name().toLowerCase(Locale.ROOT);
  }

  boolean isNumber() {
    return this == MIDI || this == RR;
  }

  /** Whether it holds the root note, which some samples lack. */
  boolean isPitch() {
    return this == NOTE || this == MIDI;
  }

  boolean isText() {
    return !isNumber() && !isPitch();
  }

  /** Maximum number of digits. */
  int maxWidth() {
    return this == MIDI ? 3 : 4;
  }

  /** The fact for this field; null if there is none. */
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
