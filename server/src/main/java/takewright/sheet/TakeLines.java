package takewright.sheet;

/**
 * Where the sheet says what a take should hold, for what is to be changed there. Lines count from
 * 1; 0 where the sheet does not say it.
 *
 * @param take where the take begins
 * @param notes the line of `notes`
 * @param dynamics the line of `dynamics`
 * @param roundRobins the line of `round_robins`
 * @param order the line of `order`
 */
public record TakeLines(int take, int notes, int dynamics, int roundRobins, int order) {
  /** A take of which only the beginning is known. */
  public static TakeLines at(int take) {
    return new TakeLines(take, 0, 0, 0, 0);
  }

  /** The line of a key, or of the take where the sheet does not say it. */
  public int orTake(int line) {
    return line > 0 ? line : take;
  }
}
