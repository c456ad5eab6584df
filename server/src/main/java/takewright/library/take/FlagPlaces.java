package takewright.library.take;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Set;
import java.util.stream.Stream;
import takewright.diagnosis.Flag;
import takewright.diagnosis.FlagPlace;
import takewright.segment.Blemishes;
import takewright.segment.FrameRange;
import takewright.segment.Region;

/** Where in its take the reasons for a region's flags are heard, as far as they have a place. */
final class FlagPlaces {
  private final List<Region> regions;
  private final double rate;

  /**
   * @param regions all of the take, in their order
   * @param sampleRate of the take, in hertz
   */
  FlagPlaces(List<Region> regions, int sampleRate) {
    this.regions = regions;
    rate = sampleRate;
  }

  /** The places of those flags of a region that have one, in the order of the flags. */
  List<FlagPlace> of(int region, Set<Flag> flags) {
    List<FlagPlace> places = new ArrayList<>();
    for (Flag flag : flags) {
      FrameRange place = place(region, flag);
      if (place != null) {
        places.add(new FlagPlace(flag, place.start() / rate, place.end() / rate));
      }
    }
    return places;
  }

  private FrameRange place(int region, Flag flag) {
    Region of = regions.get(region);
    return switch (flag) {
      case CLIPPED -> of.blemishes().places().clipped();
      case DROPOUT -> of.blemishes().places().gap();
      case WRONG_START -> after(of, of.blemishes().beginning().wrongS());
      case DISTURBED -> disturbed(region);
      default -> null;
    };
  }

  /**
   * Something that may disturb a note.
   *
   * @param place where it is; null if nothing is there
   * @param size how much of it there is, 1 where it is said to disturb
   */
  private record Disturbance(FrameRange place, double size) {}

  /** What disturbs a region most; null if nothing has a place. */
  private FrameRange disturbed(int region) {
    Region of = regions.get(region);
    Blemishes blemishes = of.blemishes();
    Blemishes.FlawPlaces places = blemishes.places();
    Blemishes.Beside beside = blemishes.beside();
    double foreign =
        Math.min(beside.mostDb() / ForeignParts.MOST_DB, beside.dbS() / ForeignParts.ALL_DB_S);
    double late = blemishes.beginning().lateS();
    double rises = blemishes.ending().risesDbS();
    Disturbance most =
        Stream.of(
                new Disturbance(places.knock(), beside.knockDb() / Blemishes.Beside.KNOCK_DB),
                new Disturbance(places.foreign(), foreign),
                new Disturbance(places.behind(), rises / ForeignParts.BEHIND_DB_S),
                new Disturbance(after(of, late), ForeignParts.lateness(of, rate)))
            .filter(one -> one.place != null && one.size > 0)
            .max(Comparator.comparingDouble(Disturbance::size))
            .orElse(new Disturbance(null, 0));
    // A word or a knock that begins in the note's tail is a region of its own.
    Region next = region + 1 < regions.size() ? regions.get(region + 1) : null;
    if (next != null && ForeignParts.isRunInto(of, next, rate) && most.size < 1) {
      return new FrameRange(next.start(), next.end());
    }
    return most.place;
  }

  private FrameRange after(Region region, double seconds) {
    long end = Math.min(region.end(), region.onset() + Math.round(seconds * rate));
    return seconds > 0 ? new FrameRange(region.onset(), Math.max(region.onset(), end)) : null;
  }
}
