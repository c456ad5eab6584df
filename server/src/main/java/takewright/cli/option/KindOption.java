package takewright.cli.option;

import java.util.Locale;
import takewright.v1.Kind;

/** Kinds of regions as the commands write them. */
public enum KindOption {
  pitched(Kind.KIND_PITCHED),
  unpitched(Kind.KIND_UNPITCHED),
  phrase(Kind.KIND_PHRASE),
  glide(Kind.KIND_GLIDE),
  cluster(Kind.KIND_CLUSTER);

  private final Kind wire;

  KindOption(Kind wire) {
    this.wire = wire;
  }

  /** As the contract has it; null is not said. */
  public static Kind wire(KindOption option) {
    return option == null ? Kind.KIND_UNSPECIFIED : option.wire;
  }

  /** The word for a kind. */
  public static String word(Kind kind) {
    return kind.name().substring("KIND_".length()).toLowerCase(Locale.ROOT);
  }
}
