package takewright.segment;

import java.util.Arrays;
import java.util.EnumSet;
import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.dsp.Decibels;
import takewright.dsp.Peak;
import takewright.pitch.PitchTrack;
import takewright.segment.onset.AttackBands;
import takewright.segment.room.BandSpectrum;
import takewright.segment.room.Columns;
import takewright.segment.room.FadingBands;
import takewright.segment.room.Room;
import takewright.segment.room.RoomSpread;

/** A region that has begun and not ended: what has been measured of it so far. */
final class OpenRegion {
  /**
   * A sound comes this far over what starts it, as a power ratio (8 dB). In 156 takes in recorded
   * rooms the softest of 3,941 notes comes 11 dB over it, and of 202 regions that hold nothing but
   * the room 178 stay below (2026-12-01).
   */
  private static final double HEARD = 6.3;

  /** A band belongs to the sound where it lies this far above the threshold for staying: 3 dB. */
  private static final double CLEARLY = 2;

  /**
   * And where it holds no less than this share of what the strongest band does (-35 dB): what else
   * moves, like the rumble of something that passes, is not the note's.
   */
  private static final double OWN_SHARE = Decibels.toPower(-35);

  /**
   * The body of a sound begins where it comes this near to its most power, as a ratio (-16 dB):
   * what lies before and apart from it, like a thud of the room, is not its beginning.
   */
  private static final double BODY = Decibels.toPower(-16);

  /** What must be there of the body to know it by, in seconds. */
  private static final double BODY_S = 0.2;

  /** From the beginning of what is struck to its loudest, at most, in seconds. */
  private static final double ATTACK_S = 0.1;

  /** A sound that dies away flutters by no more than this, as a power ratio (3 dB). */
  private static final double FLUTTER = 2;

  /** Below this many times the room's power its flutter counts for nothing. */
  private static final double FLUTTER_FLOOR = 4;

  /**
   * Strings that ring together beat: they come up by this much on their way down, as a power ratio
   * (4.5 dB), and to no more than this over their attack (2.5 dB). A voice falls and comes up by 6
   * dB or more.
   */
  private static final double BEATS = 2.8;

  private static final double BEATS_OVER = 1.8;

  /** Over so long they have fallen, in seconds. */
  private static final double RINGS_OUT_S = 0.4;

  /**
   * A shorter fall may be a vowel of a word, in seconds; they last 0.05 to 0.25 s (from memory).
   */
  private static final double SYLLABLE_S = 0.3;

  /** It has fallen by this much before it is struck again, as a power ratio (1 and 2 dB). */
  private static final double BEATS_FALLEN = 1.26;

  private static final double FALLEN = 1.6;

  /** A tail comes up again by no more than this while it dies away, as a power ratio (1 dB). */
  private static final double RISES = 1.26;

  /** Columns that show the beginning of an attack before the one that shows all of it. */
  static final int ATTACK_COLUMNS = 3;

  /** Length over which a region's level is taken, in seconds. */
  private static final double LEVEL_S = 0.5;

  private final Columns columns;
  private final BandSpectrum bands;

  final long firstColumn;

  /** The column that showed it first, from which on it is measured. */
  final long seenColumn;

  /** The last column in which it was heard. */
  long lastColumn;

  /** The last column well above the threshold that it must keep. */
  long lastLoud;

  /** Whether its end has been told, and no sound has come since. */
  boolean isTold;

  /** Samples around its onset, and the frame of the first of them. */
  private final float[] around;

  final long aroundStart;

  /** Index in them at which something is there for certain. */
  private final int anchor;

  /** Where it sets in, if that is known already; else -1. */
  long onset = -1;

  /** Whether what was still open when it began was a note, and whether that was still heard. */
  boolean followsNote;

  boolean isRungInto;

  final Set<Flag> flags = EnumSet.noneOf(Flag.class);
  final PitchTrack pitch = new PitchTrack();

  final AttackBands attack;

  /** How it dies away. */
  final FadingBands fading;

  /** Hears it beside the note that rings into it; null where none does. */
  UnderRing underRing;

  private RoomSpread spread;
  private int filled;
  private float peak;
  private float mostPower;
  private double mostOverStart;
  private float powerBeforeAttack;
  private long strongestBeforeAttack;
  private final double[] bandPower;

  /**
   * Most power above the room that each band showed clearly, times its bins; and the most of all.
   */
  private final double[] most;

  private double mostOfAll;

  /** Least power of each band since it was last above the threshold for staying. */
  private final double[] least;

  private float[] power = new float[64];
  private int powers;

  /**
   * @param first its first column
   * @param seen a column that shows it
   * @param aroundStart first frame of the samples around its onset
   * @param afterS seconds of them after the column that shows it
   */
  OpenRegion(Columns columns, long first, long seen, long aroundStart, double afterS) {
    this.columns = columns;
    this.aroundStart = aroundStart;
    bands = columns.bands();
    attack = new AttackBands(columns);
    fading = new FadingBands(columns, seen);
    bandPower = new double[columns.bandCount()];
    most = new double[columns.bandCount()];
    least = new double[columns.bandCount()];
    firstColumn = first;
    seenColumn = seen;
    lastColumn = seen;
    lastLoud = seen;
    // The two columns hear up to half a window ahead of the second's centre: there it is for
    // certain.
    anchor = (int) ((seen + 1) * columns.hop() + bands.window() / 2 - aroundStart);
    around = new float[anchor + (int) (afterS * columns.sampleRate())];
    fill();
  }

  /** Copies what is there of the samples around the onset: live, the later ones are yet to come. */
  void fill() {
    if (filled < around.length) {
      filled = (int) Math.min(around.length, columns.frames() - aroundStart);
      columns.audio().copy(aroundStart, around, around.length);
    }
  }

  /** The samples around its onset, up to {@code behind} after the one at an index. */
  float[] around(int index, int behind) {
    return Arrays.copyOf(around, Math.min(around.length, index + behind));
  }

  /** Index in the samples around the onset at which the sound is there for certain. */
  int anchor() {
    return anchor;
  }

  /** The same for its body, which may begin later, with a pause before it. */
  int bodyAnchor(double roomPower) {
    long frame = (seenColumn + body(roomPower)) * columns.hop() + columns.hop() / 2;
    int last = around.length - (int) (BODY_S * columns.sampleRate());
    int body = (int) (frame - aroundStart);
    return body > anchor && body < last ? body : anchor;
  }

  /** The first column of its body, counted from the one that showed it. */
  private int body(double roomPower) {
    int i = 0;
    while (i < powers && power[i] - roomPower < BODY * (mostPower - roomPower)) {
      i++;
    }
    return i;
  }

  /** Takes the bands that passed the threshold for starting for its own. */
  void begin(Room room, long column) {
    spread = new RoomSpread(room, bands);
    for (int b = 0; b < most.length; b++) {
      double level = columns.mean(b, column, column + 1);
      if (level > room.start(b)) {
        hear(b, level - room.power(b));
      }
    }
  }

  private void hear(int band, double abovePower) {
    most[band] = Math.max(most[band], abovePower * bands.bins(band));
    mostOfAll = Math.max(mostOfAll, most[band]);
  }

  /** Whether a band is one of those that the sound is heard in. */
  boolean owns(int band) {
    return most[band] > 0 && most[band] >= OWN_SHARE * mostOfAll;
  }

  /** Whether a band comes up by no more than a flutter since it fell below what it must keep. */
  boolean onlyFalls(int band, double power) {
    return power < RISES * least[band];
  }

  /** Measures a column. */
  void add(long column, Room room, Evidence evidence) {
    attack.add(column);
    peak = Math.max(peak, columns.peak(column));
    if (powers == power.length) {
      power = Arrays.copyOf(power, 2 * powers);
    }
    power[powers++] = columns.power(column);
    if (powers > ATTACK_COLUMNS) {
      int before = powers - 1 - ATTACK_COLUMNS;
      if (power[before] > powerBeforeAttack) {
        powerBeforeAttack = power[before];
        strongestBeforeAttack = seenColumn + before;
      }
    }
    mostPower = Math.max(mostPower, columns.power(column));
    mostOverStart = Math.max(mostOverStart, evidence.overStart(column));
    for (int b = 0; b < bandPower.length; b++) {
      bandPower[b] += columns.band(b, column) - room.power(b);
      double around = evidence.around(b, column);
      least[b] = around > room.stay(b) ? around : Math.min(least[b], around);
      if (around > CLEARLY * room.stay(b)) {
        hear(b, around - room.power(b));
      }
      fading.set(b, owns(b) ? around : 0);
    }
    fading.add(column, room, mostOfAll);
  }

  /** Whether it was louder at any time than the room itself is when it starts a region. */
  boolean isHeard() {
    return mostOverStart >= HEARD;
  }

  /** How far the room moved by itself when it began. */
  RoomSpread spread() {
    return spread;
  }

  /** Largest absolute sample so far. */
  float peak() {
    return peak;
  }

  /** Largest absolute value of the first {@code samples} from the anchor on. */
  float peakWithin(int samples) {
    return Peak.of(around, anchor, Math.min(around.length, anchor + samples));
  }

  /** Power of the strongest column so far, as a mean square. */
  float mostPower() {
    return mostPower;
  }

  /**
   * Whether it has died away ever since its attack, as what is struck or plucked does and what is
   * bowed, blown or spoken does not. Its attack is what comes within 0.1 s of its first column.
   *
   * @param last the last column that counts
   * @param roomPower mean square of the room
   */
  boolean hasOnlyFallen(long last, double roomPower) {
    int attack = (int) (firstColumn + columns.columnsOf(ATTACK_S) - seenColumn);
    return hasFallen(attack, last, FALLEN, 1, FLUTTER, FLUTTER_FLOOR * roomPower);
  }

  /**
   * The same of several strings that ring together, whose beats let it come up a little: it falls
   * from its body on, wherever its first column lies, and has done so over the last 0.4 s.
   */
  boolean ringsOut(long last, double roomPower) {
    int body = body(roomPower);
    int end = (int) Math.min(powers, last - seenColumn + 1) - 1;
    int before = (int) Math.max(body, end - columns.columnsOf(RINGS_OUT_S));
    return end - body >= columns.columnsOf(SYLLABLE_S)
        && power[end] < power[before]
        && hasFallen(
            body + (int) columns.columnsOf(ATTACK_S), last, BEATS_FALLEN, BEATS_OVER, BEATS, 0);
  }

  /**
   * Whether it has fallen since its attack.
   *
   * @param attack the last column of its attack, counted from the one that showed it
   * @param fallen by how much, as a power ratio
   * @param over what it may come to after its attack, as a share of the attack's most power
   * @param flutter how far it may come up, as a power ratio
   * @param floor power from below which it may come up by more
   */
  private boolean hasFallen(
      int attack, long last, double fallen, double over, double flutter, double floor) {
    int count = (int) Math.min(powers, last - seenColumn + 1);
    if (attack < 0 || count <= attack + 1) {
      return false;
    }
    float loudest = 0;
    for (int i = 0; i <= attack; i++) {
      loudest = Math.max(loudest, power[i]);
    }
    float least = power[attack];
    for (int i = attack + 1; i < count; i++) {
      boolean isFlutter = least > floor && power[i] > flutter * least;
      if (power[i] > over * loudest || isFlutter) {
        return false;
      }
      least = Math.min(least, power[i]);
    }
    return loudest > fallen * power[count - 1];
  }

  /** The same without the latest columns, in which another sound may have begun to rise. */
  float powerBeforeAttack() {
    return powerBeforeAttack;
  }

  /** The column that had it. */
  long strongestBeforeAttack() {
    return strongestBeforeAttack;
  }

  /** Its pitch, as it is heard or beside the note that rings into it: what agrees better. */
  PitchTrack heard(double roomPower) {
    if (underRing == null) {
      return pitch;
    }
    PitchTrack.Summary beside = underRing.pitch().summary(roomPower);
    return underRing.isNote(pitch.summary(roomPower), beside) ? underRing.pitch() : pitch;
  }

  /**
   * What kind of sound it is, as far as it has been heard.
   *
   * @param roomPower mean square of the room
   * @param seconds its length
   * @param moves whether its pitch may change all along
   */
  SoundKind.Sound sound(double roomPower, double seconds, boolean moves) {
    double strongest = 0;
    for (int i = 0; i < powers; i++) {
      strongest = Math.max(strongest, power[i] - roomPower);
    }
    int rise = 0;
    while (rise < powers && power[rise] - roomPower < strongest / 2) {
      rise++;
    }
    double all = 0;
    double high = 0;
    for (int b = 0; b < bandPower.length; b++) {
      double sum = Math.max(0, bandPower[b]) * bands.bins(b);
      all += sum;
      high += bands.lowest(b) >= SoundKind.HIGH_HZ ? sum : 0;
    }
    double column = (double) columns.hop() / columns.sampleRate();
    PitchTrack heard = heard(roomPower);
    return new SoundKind.Sound(
        heard.summary(roomPower),
        moves ? heard.steady(roomPower, SoundKind.STEADY_CENTS) : Double.NaN,
        moves ? heard.glide() : 0,
        seconds,
        all > 0 ? high / all : 0,
        rise * column);
  }

  /** RMS of the loudest half second, in dBFS. */
  double levelDbfs() {
    int n = (int) Math.max(1, Math.min(powers, columns.columnsOf(LEVEL_S)));
    double sum = 0;
    double loudest = 0;
    for (int i = 0; i < powers; i++) {
      sum += power[i];
      if (i >= n) {
        sum -= power[i - n];
      }
      if (i >= n - 1) {
        loudest = Math.max(loudest, sum / n);
      }
    }
    return Decibels.fromPower(Math.max(1e-20, loudest));
  }
}
