package takewright.library.take;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
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

  /** What disturbs a region most, each by how far it lies over what is said to disturb one. */
  private FrameRange disturbed(int region) {
    Region of = regions.get(region);
    Blemishes blemishes = of.blemishes();
    Blemishes.FlawPlaces places = blemishes.places();
    FrameRange most = null;
    double least = 0;
    double knock = blemishes.beside().knockDb() / ForeignParts.KNOCK_DB;
    if (places.knock() != null && knock > least) {
      most = places.knock();
      least = knock;
    }
    double foreign =
        Math.min(
            blemishes.beside().mostDb() / ForeignParts.MOST_DB,
            blemishes.beside().dbS() / ForeignParts.ALL_DB_S);
    if (places.foreign() != null && foreign > least) {
      most = places.foreign();
      least = foreign;
    }
    double behind = blemishes.ending().risesDbS() / ForeignParts.BEHIND_DB_S;
    if (places.behind() != null && behind > least) {
      most = places.behind();
      least = behind;
    }
    double late = blemishes.beginning().lateS() / ForeignParts.LATE_S;
    if (late > least) {
      most = after(of, blemishes.beginning().lateS());
      least = late;
    }
    // A word or a knock that begins in the note's tail is a region of its own.
    Region next = region + 1 < regions.size() ? regions.get(region + 1) : null;
    if (next != null && ForeignParts.isRunInto(of, next) && least < 1) {
      return new FrameRange(next.start(), Math.max(next.start(), next.end()));
    }
    return most;
  }

  private FrameRange after(Region region, double seconds) {
    long end = Math.min(region.end(), region.onset() + Math.round(seconds * rate));
    return seconds > 0 ? new FrameRange(region.onset(), Math.max(region.onset(), end)) : null;
  }
}
