package takewright.library.match;

import java.util.List;
import java.util.function.Predicate;
import java.util.stream.DoubleStream;
import takewright.segment.Blemishes;
import takewright.segment.Region;

/** What is heard to be wrong with a note by itself, without another attempt to compare it with. */
public final class FlawedAlone {
  /** A note that holds another pitch for so long first was begun on the wrong one, in seconds. */
  private static final double WRONG_START_S = 0.08;

  /**
   * A note is disturbed where something is heard beside it at its most by so much, in dB: of 684
   * clean notes two came over 24, a scratch comes to 26 and more even on a violin.
   */
  private static final double HARSH_DB = 25;

  /** And for longer than in four of five notes of the take by this many times. */
  private static final double ALONE_TIMES = 1.5;

  /** Where another time the same note has this share of it, that is the note's own. */
  private static final double OWN_SHARE = 0.6;

  /**
   * So many dB sharper than what four of five notes of the take have is no blow of the room's own:
   * over a clock that ticks 16 dB out of the notes, 81 of 149 clean notes passed for knocked into.
   */
  private static final double SHARPER_DB = 3;

  private FlawedAlone() {}

  /**
   * What four of five notes of a take have beside them: the room's own share.
   *
   * @param dbS the excess, in dB times seconds
   * @param knockDb the sharpest blow, in dB
   */
  record Usual(double dbS, double knockDb) {
    static Usual of(List<Region> regions) {
      List<Blemishes.Beside> beside =
          regions.stream()
              .filter(region -> !region.rejected())
              .map(region -> region.blemishes().beside())
              .toList();
      return new Usual(
          fourOfFive(beside.stream().mapToDouble(Blemishes.Beside::dbS)),
          fourOfFive(beside.stream().mapToDouble(Blemishes.Beside::knockDb)));
    }

    private static double fourOfFive(DoubleStream values) {
      double[] sorted = values.sorted().toArray();
      return sorted.length == 0 ? 0 : sorted[(int) (0.8 * (sorted.length - 1))];
    }
  }

  /** Whether a note begins on another, or goes on from a mere beginning. */
  static boolean isBegunWrong(Region region, boolean isContinued) {
    return isContinued || region.blemishes().beginning().wrongS() >= WRONG_START_S;
  }

  /**
   * Whether a note is heard to be disturbed without another attempt to compare it with.
   *
   * @param regions all of the take
   * @param usual what the notes of the take have
   */
  static boolean isClearlyDisturbed(Region note, List<Region> regions, Usual usual) {
    Blemishes.Beside beside = note.blemishes().beside();
    return beside.knockDb() >= Math.max(Blemishes.Beside.KNOCK_DB, usual.knockDb() + SHARPER_DB)
        || beside.mostDb() >= HARSH_DB
            && beside.dbS() >= ALONE_TIMES * usual.dbS()
            && !isOwn(note, regions);
  }

  private static boolean isOwn(Region note, List<Region> regions) {
    List<Region> same =
        regions.stream().filter(other -> other != note && isSameNote(note, other)).toList();
    double least = OWN_SHARE * note.blemishes().beside().dbS();
    return isEachTime(same, one -> one.blemishes().beside().dbS() >= least);
  }

  /**
   * Whether what is heard in a note is heard each time, or nearly so, when it is played: then it is
   * the note's own, as nobody makes the same mistake twice.
   *
   * @param others what else was played at the same note
   * @param hasIt whether it is heard in one of them
   */
  public static <T> boolean isEachTime(List<T> others, Predicate<T> hasIt) {
    return !others.isEmpty() && 2 * others.stream().filter(hasIt).count() >= others.size();
  }

  private static boolean isSameNote(Region one, Region other) {
    return one.pitch() != null
        && other.pitch() != null
        && !other.rejected()
        && one.pitch().midi() == other.pitch().midi();
  }

  /**
   * Which of all regions of a take are heard to be flawed by themselves, without another attempt.
   *
   * @param sampleRate of the take, in hertz
   */
  static boolean[] of(List<Region> regions, int sampleRate) {
    Interruptions interruptions = new Interruptions(regions, sampleRate);
    Usual usual = Usual.of(regions);
    boolean[] flawed = new boolean[regions.size()];
    for (int i = 0; i < flawed.length; i++) {
      Region region = regions.get(i);
      flawed[i] =
          !region.rejected()
              && (interruptions.isBrokenInto(i, next -> !regions.get(next).rejected())
                  || isClearlyDisturbed(region, regions, usual));
    }
    return flawed;
  }
}
