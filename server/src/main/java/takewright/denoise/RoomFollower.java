package takewright.denoise;

import java.util.ArrayList;
import java.util.List;
import takewright.audio.Clip;

/**
 * Notices where in a take the room changes: a fan that is switched on, traffic that comes and goes.
 *
 * <p>Room tone is compared piece by piece, in bands of a third of an octave or so. Pieces that are
 * alike make one room; one that is not opens a new room as soon as the next piece agrees with it,
 * so that a scrape in a single piece does not. A room that wanders is a row of rooms.
 */
public final class RoomFollower {
  /** Half frames a piece, where quiet is to be found first: four seconds. */
  private static final int PIECE = 47;

  /** Pieces further apart than this, in the mean over the bands, are not of one room; in dB. */
  private static final double UNLIKE_DB = 1.2;

  /**
   * Two pieces that differ from the room agree where they are not further apart than this; in dB.
   */
  private static final double AGREE_DB = 2.2;

  private static final int MEMORY = 8;

  /** Room tone is smooth over frequency; what differs by more from bin to bin is a note; in dB. */
  private static final double ROUGH_DB = 1.6;

  /** Above the quietest room by more than this, it is no room but somebody playing; in dB. */
  private static final double ABOVE_QUIETEST_DB = 25;

  private final ProfileLearner piece;
  private final ProfileLearner room;
  private final ProfileLearner pending;
  private final List<NoiseProfile> rooms = new ArrayList<>();

  /** Where each room was first and last heard for sure, in frames of the take. */
  private final List<long[]> heard = new ArrayList<>();

  private double[] roomBands;
  private int pieces;
  private long roomFrom;
  private long roomTo;
  private double[] pendingBands;
  private long pendingFrom;
  private int blocks;

  /** One for a take of this rate and so many channels. */
  public RoomFollower(int sampleRate, int channels) {
    piece = new ProfileLearner(sampleRate, channels, 0);
    room = new ProfileLearner(sampleRate, channels, 0);
    pending = new ProfileLearner(sampleRate, channels, 0);
  }

  /**
   * Takes a stretch that is room tone for sure, in the order of the take.
   *
   * @param start its first frame in the take
   */
  public void add(Clip roomTone, long start) {
    piece.clear();
    piece.addRoomTone(roomTone);
    close(Double.POSITIVE_INFINITY, start, start + roomTone.frames());
  }

  /** Takes the frame that a learner has just heard of a take. */
  void take(ProfileLearner learner) {
    learner.giveLast(piece);
    if (++blocks % PIECE == 0) {
      double limit = piece.quietest();
      if (!Double.isNaN(limit)) {
        long[] span = piece.span(limit);
        close(limit, span[0], span[1]);
      }
      piece.clear();
    }
  }

  private void close(double limit, long from, long to) {
    double[] bands = piece.bands(limit);
    if (bands == null || piece.roughness(limit) > ROUGH_DB) {
      return;
    }
    if (roomBands == null) {
      roomFrom = from;
      pool(limit, bands, to);
    } else if (unlike(bands, roomBands) < UNLIKE_DB) {
      pendingBands = null;
      pending.clear();
      pool(limit, bands, to);
    } else if (pendingBands != null && unlike(bands, pendingBands) < AGREE_DB) {
      finish();
      room.clear();
      room.absorb(pending, Double.POSITIVE_INFINITY);
      pending.clear();
      roomBands = pendingBands;
      pieces = 1;
      pendingBands = null;
      roomFrom = pendingFrom;
      pool(limit, bands, to);
    } else {
      pending.clear();
      pending.absorb(piece, limit);
      pendingBands = bands;
      pendingFrom = from;
    }
  }

  private void pool(double limit, double[] bands, long to) {
    room.absorb(piece, limit);
    pieces++;
    for (int i = 0; roomBands != null && i < bands.length; i++) {
      // The mean of the pieces so far; of many, those of late count more, since a room may wander.
      bands[i] = roomBands[i] + (bands[i] - roomBands[i]) / Math.min(pieces, MEMORY);
    }
    roomBands = bands;
    roomTo = to;
  }

  private void finish() {
    NoiseProfile profile = room.ofAll();
    if (profile != null) {
      rooms.add(profile);
      heard.add(new long[] {roomFrom, roomTo});
    }
  }

  private static double unlike(double[] a, double[] b) {
    double sum = 0;
    for (int i = 0; i < a.length; i++) {
      sum += Math.abs(a[i] - b[i]);
    }
    return sum / a.length;
  }

  /**
   * The profile of the take: {@code usual} where the room stayed as it was, else one that changes
   * with the room.
   *
   * @param usual what was learnt from the take as a whole
   */
  public NoiseProfile follow(NoiseProfile usual) {
    if (rooms.isEmpty()) {
      return usual;
    }
    finish();
    double quietest = Double.POSITIVE_INFINITY;
    for (NoiseProfile profile : rooms) {
      quietest = Math.min(quietest, profile.levelDbfs());
    }
    List<NoiseProfile> kept = new ArrayList<>();
    List<Long> from = new ArrayList<>();
    long lastTo = 0;
    for (int i = 0; i < rooms.size(); i++) {
      if (rooms.get(i).levelDbfs() > quietest + ABOVE_QUIETEST_DB) {
        continue;
      }
      if (kept.isEmpty()) {
        from.add(0L);
      } else {
        // Somewhere between, the room changed. The louder one is taken for all of it: too much
        // noise
        // left would be heard, and in a note more than a little too much taken.
        boolean louder = rooms.get(i).levelDbfs() > kept.get(kept.size() - 1).levelDbfs();
        from.add(louder ? lastTo : heard.get(i)[0]);
      }
      kept.add(rooms.get(i));
      lastTo = heard.get(i)[1];
    }
    return kept.size() < 2 ? usual : usual.changing(kept, from);
  }
}
