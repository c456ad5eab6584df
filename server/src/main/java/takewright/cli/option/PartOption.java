package takewright.cli.option;

import java.util.regex.Matcher;
import java.util.regex.Pattern;
import picocli.CommandLine.ITypeConverter;
import picocli.CommandLine.TypeConversionException;
import takewright.v1.BuildPart;

/** Reads a part of a build: 2/8 is the second of eight. */
public final class PartOption implements ITypeConverter<BuildPart> {
  private static final Pattern PART = Pattern.compile("([0-9]{1,6})/([0-9]{1,6})");

  @Override
  public BuildPart convert(String text) {
    Matcher part = PART.matcher(text);
    if (!part.matches()) {
      throw new TypeConversionException("must be like 2/8, the second of eight, not " + text);
    }
    return BuildPart.newBuilder()
        .setNumber(Integer.parseInt(part.group(1)))
        .setCount(Integer.parseInt(part.group(2)))
        .build();
  }
}
