// What the bundler makes: the words of a language, and styles that come along with a script.
declare module "words:*" {
  const said: Record<string, string>;
  export default said;
}
declare module "*.css" {
  const address: string;
  export default address;
}
