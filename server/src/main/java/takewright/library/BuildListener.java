package takewright.library;

import java.util.List;

/** Who looks on at what a build finds; called from several threads. */
public interface BuildListener {
  /** A listener to whom it is all the same. */
  BuildListener NOBODY =
      new BuildListener() {
        @Override
        public void heard(TakeHeard take) {}

        @Override
        public void matched(Take take, List<IndexRow> missing) {}

        @Override
        public void made(List<IndexRow> samples) {}
      };

  /** A take was cut; takes come in the order of the sheet. */
  void heard(TakeHeard take);

  /** It is certain which cells of a take nothing fills: their rows of the index. */
  void matched(Take take, List<IndexRow> missing);

  /** The samples of a cell are there, in all layers: their rows of the index. */
  void made(List<IndexRow> samples);
}
