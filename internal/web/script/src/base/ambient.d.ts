// What the bundler makes: a style is a file of its own, and importing it gives its address.
declare module "*.css" {
  const address: string;
  export default address;
}
